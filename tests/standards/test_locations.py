"""What an injury at each place loads, from an export to the warehouse.

Sources: the load of places by posture as in the US Veterans Health Library and Landspitali, "Common sites of pressure
injuries"; devices at ear and nose, and the foot of the bed, from memory. That a place which must be kept clear, or lies
under a device, never raises a mattress or a seat is our decision.
"""

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from tests.standards.conftest import RECEIVED, Answers, write_csv

COLUMNS = "loads_lying, loads_sitting, needs_offloading, is_device_need"
# Place, side and device, with what it loads: lying, sitting, to be kept clear, the device.
PLACES = {
    "ischium": ({"location": "ischium", "side": "left"}, (False, True, False, False)),
    "sacrum": ({"location": "sacrum", "side": "midline"}, (True, True, False, False)),
    "heel": ({"location": "heel", "side": "right"}, (False, False, True, False)),
    "ear": ({"location": "ear", "device_related": "true"}, (False, False, False, True)),
    "trochanter": ({"location": "trochanter", "side": "left"}, (True, False, False, False)),
}


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    root = tmp_path_factory.mktemp("locations") / "ws"
    assert CliRunner().invoke(main, ["init", str(root)]).exit_code == 0
    write_csv(root / "inbox" / "clients.csv", [{"client_id": "C-1", "sex": "female", "age_years": 79}])
    form = {"circumstances_id": "F-1", "client_id": "C-1", "observed_on": "2025-12-20", "hours_seated": "4"}
    write_csv(root / "inbox" / "circumstances.csv", [form])
    rows = [
        {"injury_observation_id": place, "injury_id": place, "client_id": "C-1", "stage": "stage_2",
         "observed_at": "2025-12-20"} | said
        for place, (said, _) in PLACES.items()
    ]  # fmt: skip
    write_csv(root / "inbox" / "injuries.csv", rows)
    result = CliRunner().invoke(main, ["run", "--workspace", str(root), "--received-at", RECEIVED])
    assert result.exit_code == 0, result.output
    return Answers(root)


@pytest.mark.parametrize("place", PLACES)
def test_what_a_place_loads(answers, place):
    assert answers.ask(f"SELECT {COLUMNS} FROM wounds.open WHERE injury_id = ?", place) == [PLACES[place][1]]
