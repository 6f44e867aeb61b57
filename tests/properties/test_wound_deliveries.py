"""Laws of the course of a wound from exports to the warehouse: how its looks came changes nothing.

The same looks come in one export, in one in another order, late and from the newest to the oldest, and told again by
later exports. Each makes the same course, the same episodes and the same open wounds.
"""

import datetime as dt
import random

import duckdb
import pytest
from click.testing import CliRunner

from pipeline.cli import main
from pipeline.feeds.columns import FEEDS
from tests.standards.conftest import write_csv

FIRST, SECOND = "2026-01-05T06:00:00Z", "2026-01-12T06:00:00Z"
CODES = {column.name: column.codes for column in FEEDS["injuries"].columns}
RELATIONS = ("wounds.course", "wounds.healing", "wounds.push", "wounds.episodes", "wounds.open")


def looks_of_wounds(wounds: int, *, seed: int) -> list[dict]:
    """Up to eight looks at each wound within two months, some on one day, with what may be blank left out at times."""
    dice = random.Random(seed)
    rows = []
    for wound in range(wounds):
        for look in range(dice.randint(1, 8)):
            day = dt.date(2025, 11, 1) + dt.timedelta(dice.randrange(60))
            rows.append({
                "injury_observation_id": f"O-{wound}-{look}", "injury_id": f"W-{wound}", "client_id": "C-1",
                "observed_at": f"{day}T{dice.choice(('08:00', '10:00'))}" if dice.random() < 0.3 else str(day),
                "location": dice.choice(("sacrum", "heel", "mucosa", "not_recorded")),
                "stage": dice.choice(CODES["stage"]), "cause": dice.choice(("", "", "moisture", "not_settled")),
                "status": dice.choice(("", "open", "open", "closed")), "tissue": dice.choice(("", *CODES["tissue"])),
                "exudate": dice.choice(("", *CODES["exudate"])),
                "length_cm": dice.choice(("", "0", "2", "3.5", "5")), "width_cm": dice.choice(("", "1", "2.5")),
                "depth_cm": dice.choice(("", "0.5", "0.6", "1")), "debrided_on": dice.choice(("", "", "", str(day))),
                "present_on_admission": dice.choice(("", "yes", "no", "unknown")),
                "signs_of_infection": dice.choice(("", "true", "false")),
            })  # fmt: skip
    return rows


ROWS = looks_of_wounds(80, seed=20)


def deliveries(dice: random.Random) -> dict[str, tuple[list[dict], list[dict]]]:
    """Ways in which the same looks come: the rows of the first export, and those of one a week later."""
    shuffled = dice.sample(ROWS, k=len(ROWS))
    late = dice.sample(ROWS, k=len(ROWS) // 2)
    newest_first = sorted(ROWS, key=lambda row: row["observed_at"], reverse=True)
    return {
        "half comes late": ([row for row in ROWS if row not in late], late),
        "the oldest come last": (newest_first[: len(ROWS) // 2], newest_first[len(ROWS) // 2 :]),
        "in another order, and told again by a later export": (shuffled, late),
    }


def told(root, first: list[dict], second: list[dict]) -> dict[str, list[tuple]]:
    """What the warehouse says of the wounds once both exports are in."""
    assert CliRunner().invoke(main, ["init", str(root)]).exit_code == 0
    write_csv(root / "inbox" / "clients.csv", [{"client_id": "C-1", "sex": "female", "age_years": 79}])
    stay = {"placement_id": "P-1", "client_id": "C-1", "care_setting": "community", "started_at": "2025-10-01"}
    write_csv(root / "inbox" / "placements.csv", [stay])
    for name, rows, received_at in (("first", first, FIRST), ("second", second, SECOND)):
        if rows:
            write_csv(root / "inbox" / f"injuries_{name}.csv", rows)
        ran = CliRunner().invoke(main, ["run", "--workspace", str(root), "--received-at", received_at])
        assert ran.exit_code == 0, ran.output
    with duckdb.connect(str(root / "warehouse.duckdb"), read_only=True) as con:
        return {name: con.execute(f"SELECT * FROM {name} ORDER BY ALL").fetchall() for name in RELATIONS}


@pytest.fixture(scope="module")
def at_once(tmp_path_factory):
    return told(tmp_path_factory.mktemp("at_once") / "ws", ROWS, [])


def test_no_look_is_left_out(at_once):
    assert len(at_once["wounds.course"]) == len(ROWS)
    assert all(at_once.values())


@pytest.mark.parametrize("way", deliveries(random.Random(5)))
def test_how_the_looks_came_changes_nothing(at_once, tmp_path, way):
    found = told(tmp_path / "ws", *deliveries(random.Random(5))[way])
    for name in RELATIONS:
        assert found[name] == at_once[name], name
