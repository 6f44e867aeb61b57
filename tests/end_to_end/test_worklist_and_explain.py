"""The whole sample caseload: the worklist, its table and `explain` say of every person what the warehouse holds."""

import csv
import io
import json
import re
from collections import Counter, defaultdict
from html import unescape
from types import SimpleNamespace

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from pipeline.files import make_dir
from tests.unit.report.test_weekly_audit import words_of

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def demo(sample):
    """The demo's workspace, its newest pages, and a way to ask its warehouse."""
    return SimpleNamespace(root=sample.root, folder=sample.folder, ask=sample.ask, page=sample.page("worklist"))


def row_of(page, client_id):
    return page.partition(f'<tr role="row" id="person-{client_id}">')[2].partition("</tr>")[0]


def told(demo, *words):
    return CliRunner().invoke(main, ["explain", *words, "--workspace", str(demo.root)])


def test_everybody_on_the_list_stands_on_the_page_once_worst_first(demo):
    listed = demo.ask("SELECT client_id, rank FROM audit.worklist ORDER BY team, clinician, rank")
    assert len(listed) > 20
    assert re.findall(r'<tr role="row" id="person-([^"]+)"', demo.page) == [row.client_id for row in listed]
    for row in listed:
        assert f"no. {row.rank} of {len(listed)}" in row_of(demo.page, row.client_id)


def test_every_shown_finding_stands_on_the_page_with_its_evidence(demo):
    findings = demo.ask(
        "SELECT f.*, r.list_name FROM audit.findings AS f JOIN policy.rules AS r ON r.rule = f.rule WHERE f.is_shown"
    )
    apart = demo.page.partition('id="equipment"')[2].partition("</section>")[0]
    assert {finding.list_name for finding in findings} == {"people", "equipment"}
    for finding in findings:
        place = row_of(demo.page, finding.client_id) if finding.list_name == "people" else apart
        words = unescape(words_of(place))
        assert finding.title.rstrip(".") in words, finding.rule
        assert finding.consider.rstrip(".") in words, finding.rule
        assert (f"{finding.days_overdue} day" in words) or not finding.days_overdue
    equipment = [finding for finding in findings if finding.list_name == "equipment"]
    assert apart.count('<tr role="row">') == 1 + len(equipment)


def test_each_row_leads_with_the_reason_and_counts_the_rest(demo):
    shown = "SELECT f.client_id, count(*) AS people FROM audit.findings AS f JOIN policy.rules AS r USING (rule)"
    counted = {
        row.client_id: row.people
        for row in demo.ask(f"{shown} WHERE f.is_shown AND r.list_name = 'people' GROUP BY ALL")
    }
    leads = {row.rule: row.list_name for row in demo.ask("SELECT rule, list_name FROM policy.rules")}
    for person in demo.ask("SELECT * FROM audit.worklist"):
        row = row_of(demo.page, person.client_id)
        assert unescape(row.partition("<strong>")[2].partition(".</strong>")[0]).lower() == person.reason.lower()
        more = counted.get(person.client_id, 0) - (leads.get(person.first_rule) == "people")
        said = re.findall(r"<summary>and (\d+) more", row)
        assert said == ([str(more)] if more else []), person.client_id


def test_the_questions_are_the_first_five_that_a_visit_can_settle(demo):
    for person in demo.ask("SELECT client_id FROM audit.worklist"):
        wanted = demo.ask(
            "SELECT label FROM audit.to_ask WHERE client_id = ? AND rank <= 5 ORDER BY rank",
            person.client_id,
        )
        part = row_of(demo.page, person.client_id).partition('<ul class="ask">')[2].partition("</ul>")[0]
        assert [unescape(label).strip() for label in re.findall(r"<li>(.+?) <span", part)] == [
            row.label for row in wanted
        ]


def test_the_table_is_the_list(demo):
    lines = list(csv.DictReader(io.StringIO((demo.folder / "worklist.csv").read_text("utf-8"))))
    listed = demo.ask("SELECT * FROM audit.worklist ORDER BY rank")
    names = ("rank", "client_id", "team", "clinician", "level", "reason", "due_on", "days_overdue", "urgent_count")
    assert [[line[name] for name in names] for line in lines] == [
        [str(getattr(row, name) if getattr(row, name) is not None else "") for name in names] for row in listed
    ]


def test_the_table_says_who_waits_since_when(demo):
    lines = csv.DictReader(io.StringIO((demo.folder / "worklist.csv").read_text("utf-8")))
    told = {line["client_id"]: sorted(filter(None, line["waiting_since_on"].split("; "))) for line in lines}
    # Asked for or ordered, not issued, not returned: counted from the loans themselves.
    asked = demo.ask("""SELECT client_id, coalesce(requested_on, need_identified_on) AS since_on FROM records.loans
        WHERE issued_on IS NULL AND returned_on IS NULL AND coalesce(loan_status, '') NOT IN ('issued', 'cancelled',
        'returned')""")
    waits = {client_id: sorted(str(row.since_on) for row in asked if row.client_id == client_id) for client_id in told}
    assert told == waits
    assert any(waits.values())


def test_verify_vouches_for_the_table(demo):
    table = demo.folder / "worklist.csv"
    before = table.read_bytes()
    table.write_bytes(before + b"x")
    try:
        found = CliRunner().invoke(main, ["verify", "--workspace", str(demo.root)])
    finally:
        table.write_bytes(before)
    assert found.exit_code == 17
    assert "worklist.csv" in found.output
    assert CliRunner().invoke(main, ["verify", "--workspace", str(demo.root)]).exit_code == 0


def test_explain_names_the_records_that_it_rests_on(demo):
    [row] = demo.ask("SELECT * FROM audit.worklist WHERE rank = 1")
    answer = json.loads(told(demo, row.client_id, "--format", "json").stdout)
    assert {"placements", "assessments", "clients"} <= {found["feed"] for found in answer["rows"]}
    exports = {
        feed: "".join(path.read_text("utf-8-sig") for path in sorted(demo.root.glob(f"inbox/*/{feed}.csv")))
        for feed in {found["feed"] for found in answer["rows"]}
    }
    for found in answer["rows"]:
        assert found["record_id"] in exports[found["feed"]], found
        assert found["source"] == "default"


def test_explain_lists_what_is_held_back(demo):
    [held] = demo.ask(
        "SELECT h.* FROM quality.held AS h JOIN state.clients AS c ON c.client_id = h.client_id"
        " WHERE h.feed = 'injuries' AND h.status = 'waiting' ORDER BY h.client_id, h.source_row LIMIT 1"
    )
    words = " ".join(told(demo, held.client_id).stdout.split())
    assert f"Injuries {held.record_id}" in words
    assert f"row {held.source_row})" in words


def test_explain_follows_a_merged_pseudonym(demo):
    [merged] = demo.ask("SELECT * FROM records.merged_clients ORDER BY old_client_id LIMIT 1")
    ended = told(demo, merged.old_client_id)
    assert ended.stdout.startswith(merged.client_id)
    assert "was merged into this one" in ended.stdout


def test_explain_says_that_somebody_is_not_on_the_caseload(demo):
    [gone] = demo.ask(
        "SELECT client_id FROM records.clients WHERE client_id NOT IN (SELECT client_id FROM state.clients)"
        " ORDER BY client_id LIMIT 1"
    )
    ended = told(demo, gone.client_id)
    assert ended.exit_code == 0
    assert "NOT ON THE CASELOAD" in ended.stdout


def test_explain_of_nobody_ends_with_2_and_repeats_no_id(demo):
    ended = told(demo, "C-nobody")
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert "No accepted row of the exports introduces a person with this id." in ended.stderr
    assert "C-nobody" not in ended.stderr


def test_explain_changes_nothing_and_answers_the_same_twice(demo):
    before = {path: path.stat().st_mtime_ns for path in demo.root.rglob("*")}
    [row] = demo.ask("SELECT client_id FROM audit.worklist WHERE rank = 1")
    assert told(demo, row.client_id).stdout == told(demo, row.client_id).stdout
    assert {path: path.stat().st_mtime_ns for path in demo.root.rglob("*")} == before


def test_explain_without_a_warehouse_ends_with_15(tmp_path):
    make_dir(tmp_path / "inbox")
    ended = CliRunner().invoke(main, ["explain", "C-1", "--workspace", str(tmp_path)])
    assert ended.exit_code == 15
    assert ended.stdout == ""


def test_the_counts_above_the_lists_are_counts_of_the_findings(demo):
    """From findings and clocks, not from audit.worklist: how many to see, at which level, how many of them late."""
    shown = demo.ask(
        "SELECT f.client_id, f.severity, f.days_overdue, f.due_on, c.team, c.clinician FROM audit.findings AS f"
        " JOIN policy.rules AS r USING (rule) JOIN state.clients AS c USING (client_id)"
        " WHERE f.is_shown AND r.list_name = 'people'"
    )
    never = demo.ask(
        "SELECT r.client_id, 'never' AS severity, r.days_overdue, c.team, c.clinician FROM audit.reassessments AS r"
        " JOIN state.clients AS c USING (client_id) WHERE r.status = 'never'"
    )
    levels = ("urgent", "soon", "never", "routine")
    people = {}
    for row in sorted((*shown, *never), key=lambda row: (levels.index(row.severity), -row.days_overdue)):
        people.setdefault(row.client_id, row)
    count = Counter(row.severity for row in people.values())
    late = {row.client_id for row in (*shown, *never) if row.days_overdue > 0}
    page = words_of(demo.page)
    [everybody] = demo.ask("SELECT count(*) AS people FROM state.clients")
    assert (
        f"{len(people)} of the {everybody.people} people on the caseload are to be seen: {count['urgent']} today or"
        f" tomorrow, {count['soon']} within ten working days."
    ) in page
    assert f"{len(late)} of the {len(people)} are past the last day in time with something." in page
    assert f"{count['never']} person was never scored for risk within the first window." in page
    assert f"{count['routine']} can be seen in routine." in page
    groups = defaultdict(list)
    for row in people.values():
        groups[f"{row.team}, {row.clinician}"].append(row)
    table = demo.page.partition('<table class="whose"')[2].partition("</table>")[0]
    rows = table.split("<tr")[2:]
    printed = [[words_of(cell).strip() for cell in re.findall(r"<t[hd]\b.*?</t[hd]>", row)] for row in rows]
    counts = {name: by_level(rows, late) for name, rows in sorted(groups.items())}
    assert printed == [[name, *(str(amount) for amount in amounts)] for name, amounts in counts.items()]


def by_level(rows, late):
    """To see, urgent, soon, later, overdue with anything."""
    count = Counter(row.severity for row in rows)
    overdue = sum(row.client_id in late for row in rows)
    return len(rows), count["urgent"], count["soon"], count["never"] + count["routine"], overdue


def test_whoever_waits_for_a_surface_stands_on_the_page_once(demo):
    days = "date_diff('day', coalesce(requested_on, need_identified_on), (SELECT as_of FROM review.parameters))"
    wanted = demo.ask(
        f"SELECT client_id, {days} AS days FROM records.loans"
        " WHERE client_id IN (SELECT client_id FROM state.clients) AND issued_on IS NULL AND returned_on IS NULL"
        " AND (loan_status IS NULL OR loan_status IN ('requested', 'ordered'))"
    )
    part = demo.page.partition('<h2 id="waiting">')[2].partition("</section>")[0]
    rows = [words_of(row) for row in re.findall(r'<tr role="row">\s*<th scope="row".*?</tr>', part, re.DOTALL)]
    assert len(rows) == len(wanted) > 5
    for wait in wanted:
        [row] = [row for row in rows if f" {wait.client_id} " in row]
        assert f" {wait.days} days since " in row


def test_explain_names_rows_that_anybody_can_look_up_in_the_exports(demo):
    for person in demo.ask("SELECT client_id FROM state.clients ORDER BY client_id")[::40]:
        for found in json.loads(told(demo, person.client_id, "--format", "json").stdout)["rows"]:
            with (demo.root / "inbox" / found["file_name"]).open(encoding="utf-8-sig", newline="") as sheet:
                row = list(csv.reader(sheet))[found["source_row"] - 1]
            assert found["record_id"] in row, found
            # The version that stands, not another one of the same record.
            minute = found["updated_at"].replace(" ", "T")[:16]
            assert any(cell.startswith(minute) for cell in row), found
