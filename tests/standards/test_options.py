"""The vignettes of options.md, each row as one person, from the files of an export to the warehouse.

Sources stand above each table. What a class carries and the order of wishes are our decisions, for the clinical lead
to confirm.
"""

from collections import defaultdict
from pathlib import Path

import duckdb
import pytest
from click.testing import CliRunner

from pipeline.cli import main
from tests.standards.conftest import write_csv

TABLE = Path(__file__).with_name("options.md")
RECEIVED = "2026-03-02T06:00:00Z"
ITEMS = ("sensory_perception", "moisture", "activity", "mobility", "nutrition", "friction_shear")
SCORES = {"low": (4, 4, 3, 4, 3, 3), "at_risk": (3, 3, 2, 3, 3, 2), "high": (2, 2, 2, 2, 2, 1),
          "very_high": (1, 2, 1, 1, 2, 1)}  # fmt: skip
POSITIONS = {"bed": "lying", "seat": "sitting"}
FORM = {
    "weight_kg": "70", "height_cm": "165", "transfers": "hoisted", "bed_mobility": "needs_help",
    "can_be_turned_by_carer": "true", "can_shift_weight_seated": "true", "hours_seated": "0", "longest_sit_min": "0",
    "sleeps_in_chair": "false", "moisture": "dry", "heat_discomfort": "false", "cold_discomfort": "false",
    "noise_discomfort": "false", "motion_discomfort": "false", "unstable_spine": "false", "traction": "false",
    "smoking": "no", "naked_flame": "false", "electric_blanket": "false", "power_reliable": "true",
    "outage_plan": "true", "for_resuscitation": "false", "carers_know_deflate": "true", "bed_rails": "false",
    "confused_or_restless": "false", "lung_disease": "false", "fluid_balance_risk": "false",
    "rehab_goal_mobility": "false",
}  # fmt: skip
LOAN = {"issued_on": "2025-11-03", "owner": "loan_service", "state_seen_on": "2026-02-27", "in_use": "true"}
HEADINGS = {
    "options": "Does a class stay open", "order": "In which order",
    "note": "What cannot be ranked, and where nothing passes", "provision": "What they have against what they need",
    "finding": "Does a finding stand",
}  # fmt: skip


def read_table(heading: str) -> list[dict[str, str]]:
    body = TABLE.read_text(encoding="utf-8").partition(f"\n## {heading}\n")[2].partition("\n## ")[0]
    lines = [[cell.strip() for cell in line.strip("|").split("|")] for line in body.splitlines() if line[:1] == "|"]
    return [dict(zip(lines[0], cells, strict=True)) for cells in lines[2:]]


VIGNETTES = {kind: read_table(heading) for kind, heading in HEADINGS.items()}


class Export:
    """Rows for each feed, one person for each row of the document."""

    def __init__(self) -> None:
        self.rows: dict[str, list[dict[str, str]]] = defaultdict(list)

    def add(self, client: str, told: str) -> None:
        said = told.split("; ")
        self.rows["clients"].append(
            {"client_id": client, "sex": "female", "age_years": "3" if "child" in said else "70"}
        )
        self.rows["placements"].append(
            {"placement_id": f"P-{client}", "client_id": client, "care_setting": "community", "team": "Quillmoor",
             "started_at": "2025-11-03", "first_contact_at": "2025-11-03"}
        )  # fmt: skip
        form = dict(FORM)
        for number, words in enumerate(said):
            self._say(client, number, words.strip(), form)
        self.rows["circumstances"].append(
            {"circumstances_id": f"F-{client}", "client_id": client, "observed_on": "2026-02-20"} | form
        )

    def _say(self, client: str, number: int, words: str, form: dict[str, str]) -> None:
        kind, _, rest = words.partition(" ")
        ids = {"client_id": client}
        if words in ("child", "no risk"):
            return
        if kind == "risk":
            items = dict(zip(ITEMS, map(str, SCORES[rest]), strict=True))
            self.rows["assessments"].append(
                {"assessment_id": f"A-{client}", "assessed_at": "2026-02-04", "scale": "braden"} | ids | items
            )
        elif kind == "injury":
            stage, place, *side = rest.split(" ")
            self.rows["injuries"].append(
                {"injury_observation_id": f"O-{client}-{number}", "injury_id": f"W-{client}-{number}",
                 "observed_at": "2026-02-20", "location": place, "stage": stage, "side": "".join(side)} | ids
            )  # fmt: skip
        elif kind in ("on", "tried"):
            surface, *more = rest.split(" ")
            loan = {"loan_id": f"L-{client}-{number}", "surface_class": surface, "position": position_of(surface)}
            if kind == "tried":
                own = {"issued_on": "2025-11-03", "returned_on": "2025-12-16", "end_reason": more[0]}
            else:
                own = LOAN | dict(pair.split(" = ") for pair in " ".join(more).split(", ") if pair)
            self.rows["loans"].append(loan | ids | own)
        else:
            name, _, value = words.partition("=")
            form[name.strip()] = value.strip()


def position_of(surface: str) -> str:
    return "sitting" if surface.startswith(("cushion", "seat")) else "lying"


def people() -> list[tuple[str, str, dict[str, str]]]:
    """(client, kind of table, row) for each row of the document."""
    rows = [(kind, row) for kind, table in VIGNETTES.items() for row in table]
    return [(f"V{number:03d}", kind, row) for number, (kind, row) in enumerate(rows, start=1)]


PEOPLE = people()


def each(kind: str):
    found = [pytest.param(client, row, id=row["person"]) for client, of, row in PEOPLE if of == kind]
    return pytest.mark.parametrize(("client", "row"), found)


@pytest.fixture(scope="module")
def ask(tmp_path_factory):
    """A function that asks the warehouse of all vignettes: SQL and values in, rows out."""
    root = tmp_path_factory.mktemp("options") / "ws"
    assert CliRunner().invoke(main, ["init", str(root)]).exit_code == 0
    export = Export()
    for client, _, row in PEOPLE:
        export.add(client, row["told"])
    for feed, rows in export.rows.items():
        write_csv(root / "inbox" / f"{feed}.csv", rows)
    for words in (["intake", "--received-at", RECEIVED], ["review"]):
        result = CliRunner().invoke(main, [words[0], "--workspace", str(root), *words[1:]])
        assert result.exit_code == 0, result.output
    with duckdb.connect(str(root / "warehouse.duckdb"), read_only=True) as con:
        yield lambda sql, *values: con.execute(sql, list(values)).fetchall()


def test_there_are_enough_of_them():
    assert len(PEOPLE) >= 40
    assert all(table for table in VIGNETTES.values())


@each("options")
def test_does_a_class_stay_open(ask, client, row):
    surface = row["class"].removeprefix("seat ")
    sql = "SELECT verdict, reasons_for, reasons_against FROM fit.options WHERE client_id = ? AND surface_class = ?"
    ((verdict, speaks_for, against),) = ask(sql, client, surface)
    assert verdict == row["verdict"], (speaks_for, against)
    for phrase in row["for"].split(" + ") if row["for"] != "-" else []:
        assert phrase in (speaks_for or "")
    assert row["against"] in against


@each("order")
def test_in_which_order(ask, client, row):
    sql = "SELECT surface_class FROM fit.options WHERE client_id = ? AND position = ? AND rank <= 3 ORDER BY rank"
    assert [found for (found,) in ask(sql, client, POSITIONS[row["position"]])] == row["first"].split()


@each("note")
def test_what_holds_for_the_whole_list(ask, client, row):
    sql = "SELECT DISTINCT note, max(rank) OVER () FROM fit.options WHERE client_id = ? AND position = ?"
    ((note, rank),) = ask(sql, client, POSITIONS[row["position"]])
    assert row["note"] in note
    assert rank is None


@each("provision")
def test_what_they_have_against_what_they_need(ask, client, row):
    sql = "SELECT verdict, reasons FROM fit.provision WHERE client_id = ? AND position = ?"
    ((verdict, reasons),) = ask(sql, client, POSITIONS[row["position"]])
    assert verdict == row["verdict"], reasons


@each("finding")
def test_does_a_finding_stand(ask, client, row):
    known = ask("SELECT 1 FROM policy.rules WHERE rule = ?", row["finding"])
    assert known, "no rule is called that"
    found = ask("SELECT 1 FROM audit.findings WHERE client_id = ? AND rule = ?", client, row["finding"])
    assert bool(found) == (row["stands"] == "yes")


def test_what_fits_always_has_a_reason_against(ask):
    sql = "SELECT count(*) FROM fit.options WHERE verdict LIKE 'fits%' AND coalesce(reasons_against, '') = ''"
    assert ask(sql) == [(0,)]


def test_bed_and_seat_have_every_class_of_theirs(ask):
    # Eleven classes to lie on and six to sit on: the codes of the loans feed without "not recorded".
    sql = "SELECT DISTINCT position, count(*) FROM fit.options GROUP BY client_id, position ORDER BY ALL"
    assert ask(sql) == [("lying", 11), ("sitting", 6)]
