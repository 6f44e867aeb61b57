"""What the shipped policy holds, and what other parts rely on."""

import datetime

import duckdb
import pytest

from pipeline.feeds.columns import FEEDS
from pipeline.policy import load
from pipeline.policy.tables import COLUMNS
from pipeline.resources import policy_dir

AS_OF = datetime.date(2026, 3, 2)
POLICY = load()
TABLES = POLICY.tables(AS_OF)


def rows_of(name: str, key: str) -> dict:
    return {row[key]: row for row in TABLES[name].to_pylist()}


@pytest.mark.parametrize("name", sorted(COLUMNS))
def test_relation_has_its_columns_and_its_types(name):
    assert dict(zip(TABLES[name].column_names, TABLES[name].schema.types, strict=True)) == COLUMNS[name]


@pytest.mark.parametrize("name", sorted(set(COLUMNS) - {"rules_switched_off", "local_changes", "setting_bands"}))
def test_no_relation_is_empty(name):
    assert TABLES[name].num_rows > 0


def test_every_block_says_where_it_comes_from():
    assert [row["block_id"] for row in TABLES["blocks"].to_pylist() if not row["source"] or not row["basis"]] == []


def test_the_shipped_policy_is_unsigned():
    shipped = sorted(path.relative_to(policy_dir()).as_posix() for path in policy_dir().rglob("*.toml"))
    assert list(POLICY.unsigned(AS_OF)) == shipped


def test_every_class_of_the_feed_has_its_block():
    codes = next(column.codes for column in FEEDS["loans"].columns if column.name == "surface_class")
    assert set(rows_of("surface_classes", "surface_class")) == set(codes) - {"not_recorded"}


@pytest.mark.parametrize(
    ("surface_class", "risk", "injury"),
    [
        # Low risk on an ordinary mattress is matched, and nothing more: our decision.
        ("standard_mattress", 0, 0),
        # NICE CG179, from memory: foam of high specification as a start at high risk or with an injury.
        ("foam", 2, 1),
        # Stage 3 by written exception: common practice, no source.
        ("hybrid_non_powered", 2, 2),
        # Nixon 2006 and 2019 for the direction; the amounts are a judgement.
        ("alternating_air", 3, 3),
        # US coverage decision NCD 280.8: stage 3 and 4.
        ("air_fluidised", 3, 3),
        # PVA spinal cord injury guideline 2014: gel or air for an injury on a sitting surface.
        ("cushion_gel", 3, 3),
        ("cushion_foam", 1, 0),
        ("seat_only", 0, 0),
    ],
)
def test_what_a_class_carries(surface_class, risk, injury):
    row = rows_of("surface_classes", "surface_class")[surface_class]
    assert (row["risk_level_max"], row["injury_stage_max"]) == (risk, injury)


def test_only_what_needs_power_is_fed_by_a_pump():
    fed = {name for name, row in rows_of("surface_classes", "surface_class").items() if row["is_pump_fed"]}
    assert fed == {
        "alternating_air_overlay", "alternating_air", "hybrid_powered", "low_air_loss", "air_fluidised",
        "lateral_rotation", "cushion_alternating",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("location", "lying", "sitting", "trunk_or_pelvis", "turning"),
    [
        # Sites and posture: patient pages of a veterans' health library and a hospital; what they load is our decision.
        ("ischium", "no", "yes", True, None),
        ("sacrum", "yes", "when_seated", True, "back"),
        ("coccyx", "yes", "yes", True, "back"),
        ("trochanter", "yes", "no", True, "by_side"),
        ("heel", "no", "no", False, None),
        ("ear", "no", "no", False, None),
        ("scapula", "yes", "no", False, "back"),
        ("thigh", "no", "yes", False, None),
        # A site that is not known might be anywhere.
        ("not_recorded", "yes", "yes", None, None),
    ],
)
def test_what_a_location_loads(location, lying, sitting, trunk_or_pelvis, turning):
    row = rows_of("locations", "location")[location]
    found = (row["loads_lying"], row["loads_sitting"], row["is_trunk_or_pelvis"], row["turning_surface"])
    assert found == (lying, sitting, trunk_or_pelvis, turning)


@pytest.mark.parametrize(
    ("stage", "rung", "is_full_thickness"),
    [
        # Classes: NPIAP 2016 (Edsberg and others, PMC5098472). Rungs: our decision.
        ("stage_1", 1, False), ("stage_2", 1, False), ("stage_3", 3, True), ("stage_4", 3, True),
        ("unstageable", 3, True), ("deep_tissue_injury", 3, True), ("mucosal", None, None), ("not_staged", None, None),
    ],
)  # fmt: skip
def test_rung_of_a_stage(stage, rung, is_full_thickness):
    row = rows_of("stages", "stage")[stage]
    assert (row["injury_rung"], row["is_full_thickness"]) == (rung, is_full_thickness)


@pytest.mark.parametrize(
    ("interval_id", "hours", "days"),
    [
        # NICE QS89: six hours from admission.
        ("first_acute", 6, None),
        # AHCPR treatment guideline 1994, in summary: at least weekly.
        ("wound_community", None, 7),
        # Bergquist and Frantz 2001.
        ("routine_community_at_risk", None, 62),
        # Joint Commission NPSG.14.01.01.
        ("routine_residential_care_very_high", None, 7),
    ],
)
def test_intervals(interval_id, hours, days):
    row = rows_of("intervals", "interval_id")[interval_id]
    assert (row["within_hours"], row["within_days"]) == (hours, days)


def test_a_score_is_never_too_old_before_it_is_due():
    # A low score read as unknown while its reassessment is not even due would make nearly everybody unknown.
    due = {}
    for row in TABLES["intervals"].to_pylist():
        if row["kind"] == "routine":
            for rung in range(4) if row["risk_rung"] is None else [row["risk_rung"]]:
                due[row["care_setting"], rung] = row["within_days"]
    rows = TABLES["score_age_limits"].to_pylist()
    limits = {(row["care_setting"], row["risk_rung"]): row["max_age_days"] for row in rows}
    assert [place for place in due if limits[place] < due[place]] == []


def test_every_code_of_every_feed_has_plain_words():
    known = {(row["kind"], row["code"]) for row in TABLES["labels"].to_pylist()}
    asked = {(column.name, code) for feed in FEEDS.values() for column in feed.columns for code in column.codes}
    assert sorted(asked - known) == []


def test_no_label_shows_a_code():
    assert [row["code"] for row in TABLES["labels"].to_pylist() if "_" in row["label"]] == []


def test_severities_in_days():
    # Our decision: same or next working day, ten working days, thirty days.
    found = [(row["severity"], row["due_days"], row["day_kind"]) for row in TABLES["severities"].to_pylist()]
    assert found == [("urgent", 1, "working"), ("soon", 10, "working"), ("routine", 30, "calendar")]


def working_days_after(day: str, count: int) -> str:
    con = duckdb.connect()
    con.register("calendar", TABLES["calendar"])
    found = con.execute(
        """SELECT MIN(later.day) FROM calendar AS given JOIN calendar AS later
        ON later.working_day_number = given.working_day_number + ? WHERE given.day = CAST(? AS DATE)""",
        [count, day],
    ).fetchone()
    return str(found[0])


@pytest.mark.parametrize(
    ("day", "count", "due"),
    # 27 February 2026 is a Friday; the rule is plain counting of Monday to Friday.
    [
        ("2026-02-26", 1, "2026-02-27"), ("2026-02-27", 1, "2026-03-02"), ("2026-02-28", 1, "2026-03-02"),
        ("2026-03-01", 1, "2026-03-02"), ("2026-02-16", 10, "2026-03-02"),
    ],
)  # fmt: skip
def test_working_days(day, count, due):
    assert working_days_after(day, count) == due


def test_the_calendar_reaches_far_enough():
    days = TABLES["calendar"]["day"].to_pylist()
    assert (days[0], days[-1]) == (datetime.date(2000, 1, 1), AS_OF + datetime.timedelta(days=400))


def test_a_criterion_has_a_row_for_each_class_it_means():
    meant: dict[str, set[str]] = {}
    for row in TABLES["fit_criteria"].to_pylist():
        meant.setdefault(row["criterion"], set()).add(row["surface_class"])
    # By a flag of the class; by an amount of which less is worse; by one of which more is worse; by position.
    assert meant["moving_under_the_spine"] == {
        "alternating_air_overlay", "alternating_air", "hybrid_powered", "lateral_rotation", "cushion_alternating",
    }  # fmt: skip
    # Steadiness 0 or 1 in the frozen table of capabilities.
    assert meant["unsteady_to_stand_from"] == {
        "static_air", "alternating_air_overlay", "alternating_air", "low_air_loss", "air_fluidised",
        "lateral_rotation", "cushion_air", "cushion_alternating",
    }  # fmt: skip
    # Felt movement 2 or 3 there.
    assert meant["movement_disturbs"] == {
        "alternating_air_overlay", "alternating_air", "air_fluidised", "lateral_rotation", "cushion_alternating",
    }  # fmt: skip
    assert meant["hours_on_an_injury"] == {
        "cushion_foam", "cushion_gel", "cushion_air", "cushion_hybrid", "cushion_alternating", "seat_only",
    }  # fmt: skip
