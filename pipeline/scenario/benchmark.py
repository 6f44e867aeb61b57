"""Large caseloads for measuring speed: drawn column by column, not person by person.

They have the shape and the volume of exports and late versions, and tell no plausible course; `write_sample` does.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv as pacsv

from pipeline.feeds.columns import FEEDS, Column
from pipeline.scenario.frailty import BRADEN
from pipeline.scenario.service import FIRST_MONDAY, TEAMS

DAYS = 546
LATE_SHARE = 0.03
CLASSES = ("standard_mattress", "foam", "foam", "foam", "hybrid_non_powered", "alternating_air")
STAGES = ("stage_1", "stage_2", "stage_2", "stage_3", "stage_4", "unstageable")
LOCATIONS = ("sacrum", "heel", "buttock", "ischium", "trochanter")
SIDES = ("midline", "left", "right", "left", "right")
RARE_SHARE = 0.05
MOSTLY_YES = (
    "can_be_turned_by_carer", "can_shift_weight_seated", "power_reliable", "outage_plan", "carers_know_deflate",
)  # fmt: skip
MEASURES = {
    "weight_kg": (45, 110), "height_cm": (150, 190), "hip_width_cm": (32, 50), "bed_width_cm": (85, 105),
    "bed_frame_max_kg": (180, 250), "rail_top_above_surface_mm": (230, 300), "hours_in_bed": (8, 20),
    "turning_interval_h": (2, 6),
}  # fmt: skip
SEEN_LATELY = (
    "inspected_on", "serviced_on", "electrical_test_on", "state_seen_on", "cover_opened_on", "bottoming_checked_on",
    "reviewed_on", "skin_checked_on",
)  # fmt: skip
IN_ORDER = {
    "in_use": "true", "cover_condition": "sound", "fitted_correctly": "true", "bottoming_check": "pass",
    "bottoming_method": "hand", "justification_recorded": "true", "mode": "alternating", "cycle_minutes": "10",
    "pump_state": "running", "setting_kind": "automatic", "leak_seen": "false", "power_leads_safe": "true",
}  # fmt: skip
OF_PUMPS = (
    "serviced_on", "electrical_test_on", "mode", "cycle_minutes", "pump_state", "setting_kind", "power_leads_safe",
)  # fmt: skip
# What happens to few, and words that a form leaves blank.
RARE_ANSWERS = ("flap_surgery_on", "surgery_on", "fell_on", "acute_illness_on", "declined_what", "declined_on",
                "decline_recorded_fully", "decline_review_on", "record_status")  # fmt: skip


@dataclass(frozen=True)
class BenchmarkSummary:
    """Rows written by feed, late versions among them, and the size of all files in bytes."""

    out: Path
    rows: dict[str, int]
    bytes: int


def write_benchmark(out: Path, *, people: int, assessments: int, seed: int) -> BenchmarkSummary:
    """Write one CSV file for each feed but actions and merges into `out/<day>/`.

    About three in a hundred assessments come a second time, changed later. One injury in eight people, looked at weekly
    for eight weeks; one or two surfaces each, kept up as a register should; one form each that answers most questions.
    So there is about one finding for each person, as in the sample caseload. Raises ValueError for fewer than one
    person or assessment.
    """
    if people < 1 or assessments < 1:
        raise ValueError("people and assessments are at least one")
    chance = np.random.default_rng(seed)
    started = chance.integers(0, 120, people)
    tables = {
        "clients": _clients(people, started, chance),
        "placements": _placements(people, started, chance),
        "assessments": _assessments(people, assessments, started, chance),
        "circumstances": _circumstances(people, chance),
        "injuries": _injuries(people, chance),
        "loans": _loans(people, started, chance),
    }
    folder = out / (FIRST_MONDAY + timedelta(days=DAYS)).isoformat()
    folder.mkdir(parents=True, exist_ok=True)
    size = 0
    for feed, table in tables.items():
        path = folder / f"{feed}.csv"
        pacsv.write_csv(table, path, pacsv.WriteOptions(quoting_style="none"))
        size += path.stat().st_size
    return BenchmarkSummary(out=out, rows={feed: table.num_rows for feed, table in tables.items()}, bytes=size)


def _ids(prefix: str, numbers: np.ndarray) -> pa.Array:
    """Ids such as C-0000017."""
    return pc.binary_join_element_wise(prefix, pc.utf8_lpad(pc.cast(pa.array(numbers), pa.string()), 7, "0"), "-")


def _chosen(words: tuple[str, ...], places: np.ndarray) -> pa.Array:
    return pa.array(words).take(pa.array(places))


def _days(days: np.ndarray) -> pa.Array:
    since_epoch = (FIRST_MONDAY - date(1970, 1, 1)).days
    return pa.array((days + since_epoch).astype("int32")).cast(pa.date32())


def _times(days: np.ndarray, minutes: np.ndarray) -> pa.Array:
    """Instants as an export writes them, to the minute."""
    first = np.datetime64(FIRST_MONDAY.isoformat(), "s")
    instants = first + (days.astype("int64") * 86_400 + minutes.astype("int64") * 60).astype("timedelta64[s]")
    return pc.strftime(pa.array(instants), format="%Y-%m-%dT%H:%M")


def _office_hours(count: int, chance: np.random.Generator) -> np.ndarray:
    return chance.integers(8 * 60, 17 * 60, count)


def _clients(people: int, started: np.ndarray, chance: np.random.Generator) -> pa.Table:
    return pa.table({
        "client_id": _ids("C", np.arange(1, people + 1)),
        "sex": _chosen(("female", "male"), chance.integers(0, 2, people)),
        "age_years": pa.array(np.clip(chance.normal(80, 9, people), 25, 90).astype("int32")),
        "updated_at": _times(started, _office_hours(people, chance)),
    })  # fmt: skip


def _placements(people: int, started: np.ndarray, chance: np.random.Generator) -> pa.Table:
    team = chance.integers(0, len(TEAMS), people)
    minutes = _office_hours(people, chance)
    numbers = np.arange(1, people + 1)
    return pa.table({
        "placement_id": _ids("P", numbers),
        "client_id": _ids("C", numbers),
        "care_setting": _chosen(tuple(t.care_setting for t in TEAMS), team),
        "site": _chosen(tuple(t.site for t in TEAMS), team),
        "team": _chosen(tuple(t.name for t in TEAMS), team),
        "clinician": _chosen(tuple(t.clinicians[0] for t in TEAMS), team),
        "started_at": _times(started, minutes),
        "updated_at": _times(started, minutes + 45),
    })  # fmt: skip


def _assessments(people: int, count: int, started: np.ndarray, chance: np.random.Generator) -> pa.Table:
    number = np.arange(1, count + 1)
    person = chance.integers(0, people, count)
    day = started[person] + chance.integers(0, DAYS - 130, count)
    minutes = _office_hours(count, chance)
    frailty = chance.normal(0.38, 0.13, people)[person] + chance.normal(0, 0.06, count)
    items = {
        item: np.clip(np.rint(best - (best - 1) * np.clip(frailty + chance.normal(0, 0.1, count), 0, 1)), 1, best)
        for item, best in BRADEN.items()
    }
    total = sum(items.values())
    total = total + np.where(chance.random(count) < 0.03, chance.integers(-2, 3, count), 0)
    total = np.clip(total, 6, 23)
    late = np.flatnonzero(chance.random(count) < LATE_SHARE)
    rows = np.concatenate([np.arange(count), late])
    is_late = np.concatenate([np.zeros(count, dtype=bool), np.ones(len(late), dtype=bool)])
    nutrition = np.where(is_late, np.clip(items["nutrition"][rows] - 1, 1, 4), items["nutrition"][rows])
    changed = total[rows] - (items["nutrition"][rows] - nutrition)
    scores = {item: pa.array(score[rows].astype("int8")) for item, score in items.items()}
    return pa.table({
        "assessment_id": _ids("A", number[rows]),
        "client_id": _ids("C", person[rows] + 1),
        "assessed_at": _times(day[rows], minutes[rows]),
        "scale": pa.array(np.full(len(rows), "braden")),
        **scores | {"nutrition": pa.array(nutrition.astype("int8"))},
        "recorded_total": pa.array(np.clip(changed, 6, 23).astype("int8")),
        "updated_at": _times(day[rows] + 9 * is_late, minutes[rows] + 40),
    })  # fmt: skip


def _circumstances(people: int, chance: np.random.Generator) -> pa.Table:
    # A feed that is silent would leave every rule that reads it open for everybody, which is no ordinary caseload.
    numbers = np.arange(1, people + 1)
    day = chance.integers(DAYS - 20, DAYS - 12, people)
    given = {
        "circumstances_id": _ids("F", numbers),
        "client_id": _ids("C", numbers),
        "observed_on": _days(day),
        "updated_at": _times(day, _office_hours(people, chance)),
    }
    answers = {
        column.name: _answers(column, people, day, chance) for column in FEEDS["circumstances"].columns
        if column.name not in given and column.name not in RARE_ANSWERS
    }  # fmt: skip
    return pa.table(given | answers)


def _answers(column: Column, people: int, day: np.ndarray, chance: np.random.Generator) -> pa.Array:
    """One answer each: mostly what is harmless, a number near the low end of what may stand there, a day just past."""
    if column.type == "boolean":
        usual, rare = ("true", "false") if column.name in MOSTLY_YES else ("false", "true")
        return _chosen((usual, rare), (chance.random(people) < RARE_SHARE).astype("int8"))
    if column.type == "code":
        other = chance.integers(0, len(column.codes), people)
        return _chosen(column.codes, np.where(chance.random(people) < 4 * RARE_SHARE, other, 0))
    if column.type == "date":
        return _days(day - chance.integers(0, 7, people))
    low, high = MEASURES.get(column.name, (float(column.low), float(column.low + (column.high - column.low) / 20)))
    return pa.array(np.rint(chance.uniform(low, high, people)).astype("int32"))


def _injuries(people: int, chance: np.random.Generator) -> pa.Table:
    wounds = max(1, people // 8)
    looks = 8
    wound = np.repeat(np.arange(wounds), looks)
    place = np.tile(np.arange(looks), wounds)
    person = chance.permutation(people)[:wounds][wound]
    day = chance.integers(200, DAYS - 60, wounds)[wound] + 7 * place
    minutes = _office_hours(len(wound), chance)
    length = chance.uniform(1, 5, wounds)[wound] * (1 - 0.08 * place)
    location = chance.integers(0, len(LOCATIONS), wounds)[wound]
    return pa.table({
        "injury_observation_id": _ids("O", np.arange(1, len(wound) + 1)),
        "injury_id": _ids("W", wound + 1),
        "client_id": _ids("C", person + 1),
        "observed_at": _times(day, minutes),
        "location": _chosen(LOCATIONS, location),
        "side": _chosen(SIDES, location),
        "stage": _chosen(STAGES, chance.integers(0, len(STAGES), wounds)[wound]),
        "present_on_admission": _chosen(("yes", "no"), chance.integers(0, 2, wounds)[wound]),
        "length_cm": pa.array(np.round(length, 1)),
        "width_cm": pa.array(np.round(length * 0.7, 1)),
        "status": pa.array(np.full(len(wound), "open")),
        "updated_at": _times(day, minutes + 30),
    })  # fmt: skip


def _loans(people: int, started: np.ndarray, chance: np.random.Generator) -> pa.Table:
    lying = np.flatnonzero(chance.random(people) < 0.9)
    sitting = np.flatnonzero(chance.random(people) < 0.5)
    person = np.concatenate([lying, sitting])
    is_seat = np.concatenate([np.zeros(len(lying), dtype=bool), np.ones(len(sitting), dtype=bool)])
    classes = (*CLASSES, "cushion_foam", "cushion_air")
    kind = np.where(
        is_seat, len(CLASSES) + chance.integers(0, 2, len(person)), chance.integers(0, len(CLASSES), len(person))
    )
    issued = started[person] + chance.integers(0, 14, len(person))
    is_powered = np.isin(kind, [place for place, name in enumerate(classes) if name == "alternating_air"])
    return pa.table({
        "loan_id": _ids("L", np.arange(1, len(person) + 1)),
        "client_id": _ids("C", person + 1),
        "position": _chosen(("lying", "sitting"), is_seat.astype("int8")),
        "surface_class": _chosen(classes, kind),
        "loan_status": pa.array(np.full(len(person), "issued")),
        "owner": pa.array(np.full(len(person), "loan_service")),
        "issued_on": _days(issued),
        "updated_at": _times(issued, _office_hours(len(person), chance)),
        **_kept_up(is_powered, chance),
    })  # fmt: skip


def _kept_up(is_powered: np.ndarray, chance: np.random.Generator) -> dict[str, pa.Array]:
    """What a register of equipment says of each surface: all in order, with one cell in twenty left blank."""
    # Without it every rule about upkeep would be open or true for everybody, which is no ordinary caseload.
    count = len(is_powered)
    recent = {name: _days(DAYS - chance.integers(14, 60, count)) for name in SEEN_LATELY}
    words = {name: _chosen((word,), np.zeros(count, dtype="int8")) for name, word in IN_ORDER.items()}
    answers = {
        "device_id": _ids("D", np.arange(1, count + 1)),
        "made_on": _days(DAYS - chance.integers(200, 900, count)),
        "max_user_kg": pa.array(chance.choice([180, 200, 250], count)),
        "min_user_kg": pa.array(chance.integers(0, 40, count)),
        "width_cm": pa.array(chance.integers(85, 91, count)),
        **recent, **words,
    }  # fmt: skip
    kept = {
        name: pc.if_else(pa.array(chance.random(count) >= RARE_SHARE), cells, None) for name, cells in answers.items()
    }
    pump = pa.array(is_powered)
    return kept | {name: pc.if_else(pump, pc.cast(kept[name], pa.string()), None) for name in OF_PUMPS}
