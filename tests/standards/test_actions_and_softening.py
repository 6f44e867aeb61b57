"""The table of actions and softening, each row as one person, through the SQL of the audit.

Our decisions, for the clinical lead to confirm; the sources for the direction stand at the top of the table.
"""

import datetime as dt
import functools
from pathlib import Path

import pytest

from tests.models.cases import Table, build_world, insert_parameters, insert_rows

TABLE = Path(__file__).with_name("actions_and_softening.md")
TODAY = dt.date(2026, 3, 2)
LONG_AGO = TODAY - dt.timedelta(days=700)
CHAIN = (
    "state.column_origins", "audit.worsened", "audit.last_recorded", "audit.softenings", "audit.answered",
    "audit.raised", "audit.findings",
)  # fmt: skip
# The finding in words: its rule, what the rule speaks about, and the columns that its evidence names.
FINDINGS = {
    "high risk, ordinary mattress": ("bed_std_high_risk", "loan", ("position", "risk_rung", "surface_class")),
    "heels on the bed": ("heel_not_offloaded", "client", ("risk_rung", "bed_mobility", "heel_offloading")),
    "powered surface, low risk": ("active_for_low_risk", "loan", ("position", "surface_class", "risk_rung")),
    "pump off": ("pump_off_or_alarm", "loan", ("is_pump_fed", "pump_state")),
    "no plan for a power cut": ("outage_plan_absent", "loan", ("is_powered", "outage_plan")),
}
CLEARED_BY_FORM = {"heels on the bed", "no plan for a power cut"}


def read_table(heading: str) -> list[dict[str, str]]:
    """The rows of the table under a heading, by column."""
    body = TABLE.read_text(encoding="utf-8").partition(f"\n## {heading}\n")[2].partition("\n## ")[0]
    lines = [
        [cell.strip() for cell in line.strip("|\n").split("|")] for line in body.splitlines() if line.startswith("|")
    ]
    return [dict(zip(lines[0], cells, strict=True)) for cells in lines[2:]]


class Caseload:
    """Rows of the relations that the chain reads, one person for each row of the table."""

    def __init__(self) -> None:
        self.rows: dict[str, list[dict[str, str]]] = {}

    def add(self, relation: str, **cells: object) -> None:
        self.rows.setdefault(relation, []).append(
            {name: str(cell) for name, cell in cells.items() if cell not in (None, "")}
        )

    def find(self, client: str, finding: str) -> None:
        rule, about, columns = FINDINGS[finding]
        loan = f"loan-{client}" if about == "loan" else None
        evidence = "; ".join(f"{column} = 1" for column in columns)
        ids = {"rule": rule, "about": about, "client_id": client, "loan_id": loan}
        self.add("audit.verdicts", **ids, verdict="true", evidence=evidence)

    def stand_as_before(self, client: str) -> None:
        """What was recorded long before anybody acted: a surface, a form, a low score and a shallow wound."""
        self.add("records.loans", loan_id=f"loan-{client}", client_id=client, state_seen_on=LONG_AGO)
        self.add("records.circumstances", circumstances_id=f"f0-{client}", client_id=client, observed_on=LONG_AGO)
        self.score(client, day=LONG_AGO, rung=1)
        self.look(client, day=LONG_AGO, look=1, stage="stage_2")

    def score(self, client: str, *, day: dt.date, rung: int) -> None:
        ids = {"assessment_id": f"a-{client}-{day}", "client_id": client, "assessed_at": day}
        self.add("records.assessments", **ids)
        self.add("risk.scores", **ids, scale="braden", risk_rung=rung, suits_age="true")

    def look(self, client: str, *, day: dt.date, look: int, stage: str, wound: str = "w1") -> None:
        ids = {"injury_observation_id": f"o-{client}-{wound}-{look}", "injury_id": f"{wound}-{client}"}
        self.add("records.injuries", **ids, client_id=client, observed_at=day)
        self.add(
            "wounds.course", **ids, client_id=client, look=look, episode=1, observed_at=day, effective_stage=stage,
            is_closed="false", cause="pressure",
        )  # fmt: skip

    def record_since(self, client: str, finding: str, what: str, day: dt.date) -> None:
        """What the table's `since` says, on the day after `day`."""
        after = day + dt.timedelta(days=1)
        form = {"circumstances_id": f"f1-{client}", "client_id": client, "observed_on": after}
        if what == "new form" or (what == "what would clear" and finding in CLEARED_BY_FORM):
            self.add("records.circumstances", **form)
        elif what == "what would clear":
            self.rows["records.loans"][-1]["state_seen_on"] = str(after)
        elif what == "another column":
            self.score(client, day=after, rung=1)
        elif what == "higher score":
            self.score(client, day=after, rung=2)
        elif what == "new injury":
            self.look(client, day=after, look=1, stage="stage_1", wound="w2")
        elif what == "injury of the day":
            self.look(client, day=day, look=1, stage="stage_1", wound="w2")
        elif what in ("same injury", "deeper injury"):
            self.look(client, day=after, look=2, stage="stage_2" if what == "same injury" else "stage_3")
        else:
            assert what == "nothing", f"the test does not know how to record {what!r}"


def ago(days: str) -> dt.date | None:
    return TODAY - dt.timedelta(days=int(days)) if days else None


def ahead(days: str) -> dt.date | None:
    return TODAY + dt.timedelta(days=int(days)) if days else None


def act(caseload: Caseload, client: str, row: dict[str, str]) -> None:
    rule = FINDINGS[row["finding"]][0]
    day = ago(row["days ago"])
    caseload.add("state.clients", client_id=client)
    caseload.add(
        "records.actions", action_id=f"n-{client}", client_id=client, rule=rule, acted_on=day, outcome=row["outcome"],
        review_on=ahead(row["review in"]),
    )  # fmt: skip
    caseload.record_since(client, row["finding"], row["since"], day)


def soften(caseload: Caseload, client: str, row: dict[str, str]) -> None:
    yes = {"yes": "true", "no": "false", "": None}
    goals, declined = ago(row["goals"]), ago(row["declined ago"])
    words = {f"declined_{thing}": str(row["declined"] == thing).lower() for thing in ("lying", "sitting", "heel")}
    caseload.add(
        "state.clients", client_id=client, comfort_first=yes[row["comfort first"]], declined_on=declined,
        decline_recorded_fully=yes[row["fully"]], decline_review_on=ahead(row["offer in"]), **words,
    )  # fmt: skip
    caseload.add(
        "records.circumstances", circumstances_id=f"f2-{client}", client_id=client, observed_on=LONG_AGO,
        comfort_first=yes[row["comfort first"]], goals_reviewed_on=goals, declined_what=row["declined"],
    )  # fmt: skip
    day = max((day for day in (goals, declined) if day), default=LONG_AGO)
    caseload.record_since(client, row["finding"], row["since"], day)


@functools.lru_cache(maxsize=2)
def run(heading: str, fill) -> list[tuple[dict[str, str], dict[str, object]]]:
    """Each row of the table beside the finding that the SQL makes of it."""
    caseload, rows = Caseload(), read_table(heading)
    for number, row in enumerate(rows):
        client = f"c{number:02d}"
        caseload.find(client, row["finding"])
        caseload.stand_as_before(client)
        fill(caseload, client, row)
    world = build_world()
    insert_parameters(world, None)
    for relation, added in caseload.rows.items():
        columns = tuple(dict.fromkeys(name for cells in added for name in cells))
        insert_rows(world.con, relation, Table(columns, tuple(tuple(cells.get(c) for c in columns) for cells in added)))
    for relation in CHAIN:
        world.con.execute(f"INSERT INTO {relation} {world.relations[relation].sql}")
    found = world.con.execute(
        "SELECT client_id, status, answer, quiet_until, severity, never_softened, is_shown FROM audit.findings"
    ).fetchall()
    world.con.close()
    by_client = {client: facts for client, *facts in found}
    names = ("status", "answer", "quiet_until", "severity", "never_softened", "is_shown")
    return [(row, dict(zip(names, by_client[f"c{number:02d}"], strict=True))) for number, row in enumerate(rows)]


@pytest.mark.parametrize(("heading", "fill"), [("Actions", act), ("Softening", soften)])
def test_each_row_comes_out_as_worked_by_hand(heading, fill):
    wrong = []
    for row, found in run(heading, fill):
        until = (found["quiet_until"] - TODAY).days if found["quiet_until"] else None
        quiet = row["quiet for"]
        said = (row["status"], row["answer"] or None, int(quiet) if quiet not in ("", "-") else None)
        if (found["status"], found["answer"], until) != said:
            wrong.append((row, found))
    assert not wrong, "\n".join(f"{row} came out as {found}" for row, found in wrong)


def test_the_table_says_severity_and_exception_as_policy_does():
    for row, found in run("Actions", act):
        assert found["severity"] == row["severity"], row
        assert found["never_softened"] is (row["never softened"] == "yes"), row


def test_only_what_is_quiet_leaves_the_rows():
    for heading, fill in (("Actions", act), ("Softening", soften)):
        for row, found in run(heading, fill):
            is_loud = found["status"] in ("open", "returned") and found["severity"] != "routine"
            assert found["is_shown"] is is_loud, row


def test_every_outcome_meets_every_severity():
    told = {(row["outcome"], row["severity"]) for row in read_table("Actions")}
    outcomes = {"corrected", "arranged", "accepted", "not_applicable", "not_reached"}
    assert told == {(outcome, severity) for outcome in outcomes for severity in ("urgent", "soon", "routine")}
