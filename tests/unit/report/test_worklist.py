"""What the worklist says of each person, that its table says the same, and that no spreadsheet runs what is in it."""

import csv
import io
import json
import re
from datetime import date
from hashlib import sha256

import pytest

from tests.unit.report import world
from tests.unit.report.test_pages import pages_of
from tests.unit.report.test_weekly_audit import words_of

FOLDER = "audits/2026-03-02/20260302T060000Z"


def worklist_of(root, rows):
    return pages_of(root, rows)[f"{FOLDER}/worklist.html"]


def table_of(root, rows):
    """The rows of worklist.csv as dicts, read back as a spreadsheet would."""
    pages_of(root, rows)
    text = (root / FOLDER / "worklist.csv").read_bytes().decode("utf-8")
    return list(csv.DictReader(io.StringIO(text)))


def row_of(page, client_id):
    """What stands in one person's row, on screen or on paper."""
    found = page.partition(f'<tr role="row" id="person-{client_id}">')[2].partition("</tr>")[0]
    assert found, client_id
    return found


def test_it_begins_with_how_many_and_for_whom(tmp_path):
    words = words_of(worklist_of(tmp_path, world.ordinary_week()))
    assert words.index("Not an alarm system.") < words.index("4 of the 238 people")
    assert "4 of the 238 people on the caseload are to be seen: 3 today or tomorrow, 1 within ten working" in words
    assert "1 of the 4 is past the last day in time with something." in words
    assert "This is not an all-clear" in words


def test_people_stand_by_team_and_clinician_worst_first(tmp_path):
    rows = world.ordinary_week()
    rows["audit.worklist"].append(rows["audit.worklist"][0] | {"rank": 5, "client_id": "C-0500"})
    page = worklist_of(tmp_path, rows)
    teams = re.findall(r'<h2 id="team-\d+">([^<]+)', page)
    assert teams == ["Quillmoor Community", "Saltbeck Community", "Tollmere Care Homes"]
    assert re.findall(r'<h3 id="list-\d+">([^<]+)', page) == [
        "K07: 1 person", "K12: 2 people", "Clinician not recorded: 1 person", "K03: 1 person",
    ]  # fmt: skip
    order = re.findall(r'<tr role="row" id="person-([^"]+)"', page)
    assert order == ["C-0098", "C-0417", "C-0500", "C-0151", "C-0233"]


def test_a_person_without_a_team_is_not_left_out(tmp_path):
    rows = world.ordinary_week()
    rows["audit.worklist"][1].update(team=None, clinician=None)
    page = worklist_of(tmp_path, rows)
    assert "Team not recorded" in page
    assert row_of(page, "C-0233")


def test_a_row_has_the_leading_reason_and_all_others_on_screen_and_on_paper(tmp_path):
    row = row_of(worklist_of(tmp_path, world.ordinary_week()), "C-0417")
    words = words_of(row)
    assert "Full-thickness or deep injury on a non-air surface." in words
    assert "Bed or seat: bed; Weight in kg: 62.5; Issued: 3 November 2025; Powered: no." in words
    assert "See bed and seat together;" in words
    assert "Bed: very high need, foam mattress, cannot be judged." in words
    assert "A row of theirs is held back, so their surfaces are not judged." in words
    assert "27 February 1 day overdue since 26 February" in words
    assert "Power-cut plan (not recorded) Longest single sitting (not recorded)" in words
    screen, _, paper = row.partition('<div class="paper">')
    assert "<summary>and 3 more</summary>" in screen
    assert "And 3 more:" in paper
    for part in (screen, paper):
        assert re.findall(r"<li><strong>([^<]+)", part) == [
            "Another soon thing of C-0417", "Another soon thing of C-0417", "Another routine thing of C-0417",
        ]  # fmt: skip


@pytest.mark.parametrize(
    ("status", "words"), [("returned", "said corrected, record disagrees"), ("backlog", "starting backlog")]
)
def test_a_status_is_said_in_plain_words(status, words, tmp_path):
    rows = world.ordinary_week()
    for finding in rows["audit.findings"]:
        finding.update(status=status)
    row = row_of(worklist_of(tmp_path, rows), "C-0233")
    assert f'<span class="state">{words}</span>' in row


def test_an_unknown_beginning_is_said_and_not_invented(tmp_path):
    rows = world.ordinary_week()
    for finding in rows["audit.findings"]:
        finding.update(since_is_known=False)
    row = words_of(row_of(worklist_of(tmp_path / "page", rows), "C-0233"))
    assert "since when is not recorded" in row
    assert [line["since_on"] for line in table_of(tmp_path / "table", rows)] == [""] * 4


def test_at_most_five_questions(tmp_path):
    rows = world.ordinary_week()
    rows["audit.to_ask"] = [
        {"client_id": "C-0098", "column_name": f"c{rank}", "label": f"Question {rank}", "rank": rank, "why": "too_old",
         "is_asked": rank <= 5}
        for rank in range(1, 8)
    ]  # fmt: skip
    page = worklist_of(tmp_path, rows)
    row = row_of(page, "C-0098")
    assert re.findall(r"Question \d", row) == [f"Question {rank}" for rank in range(1, 6)]
    assert "the 5 that settle most, of 7" in row
    assert "no question open" in row_of(page, "C-0417")


def test_questions_of_people_who_are_not_listed_are_counted(tmp_path):
    rows = world.ordinary_week()
    rows["audit.to_ask"].append({"client_id": "C-7", "column_name": "x", "label": "X", "rank": 1, "why": "too_old"})
    assert "1 more person has a question open and is not on the list" in words_of(worklist_of(tmp_path, rows))


def with_equipment():
    """C-0417's other findings come from one rule of the equipment list."""
    rows = world.ordinary_week()
    rows["state.loans"] = [{"client_id": "C-0417", "loan_id": "L-1", "surface_class": "foam", "owner": "loan_service"}]
    for finding in rows["audit.findings"]:
        if finding["finding_id"] == "f1-1":
            finding.update(loan_id="L-1", title="Service overdue", list_name="equipment")
    rows["audit.findings"] = [row for row in rows["audit.findings"] if row["finding_id"] != "f3-1"]
    return rows


def test_equipment_stands_apart_and_is_named_beside_the_person(tmp_path):
    page = worklist_of(tmp_path, with_equipment())
    row = row_of(page, "C-0417")
    assert "and 2 more" in row
    assert "Also on the list of equipment: Service overdue." in words_of(row)
    part = words_of(page.partition('id="equipment"')[2].partition("</section>")[0])
    assert "L-1 foam mattress owner: loan service Service overdue." in part
    assert "C-0417 Saltbeck Community, K12" in part


def test_what_a_clinician_answered_is_shown_as_such(tmp_path):
    rows = world.ordinary_week()
    for finding in rows["audit.findings"]:
        if finding["client_id"] == "C-0417":
            finding.update(status="accepted", is_shown=finding["finding_id"] == "f1")
    rows["audit.findings"][0].update(status="open")
    rows["audit.findings"][-1].update(is_shown=False, status="subsumed", title="Hidden by another")
    page = worklist_of(tmp_path, rows)
    part = words_of(page.partition('id="quietened"')[2].partition("</section>")[0])
    assert part.count("quiet for now") == 3
    assert "Hidden by another" not in page


def test_somebody_never_assessed_is_explained(tmp_path):
    rows = world.ordinary_week()
    rows["audit.worklist"][3].update(
        level="never_assessed", reason="not yet looked at", first_rule=None, is_never_assessed=True
    )
    row = row_of(worklist_of(tmp_path, rows), "C-0151")
    assert "No usable risk score of this person was ever recorded" in words_of(row)
    due = words_of(row.partition('data-label="Due">')[2].partition("</td>")[0])
    assert due.split() == ["12", "March", "not", "yet", "looked", "at"]


def test_an_empty_list_says_how_many_were_checked(tmp_path):
    rows = world.quiet_week()
    words = words_of(worklist_of(tmp_path / "page", rows))
    assert "Nobody has a flag that asks for a visit. We checked 214 people." in words
    assert "all-clear" not in words
    assert table_of(tmp_path / "table", rows) == []


def test_an_empty_list_with_missing_exports_is_no_all_clear(tmp_path):
    assert "This is not an all-clear" in words_of(worklist_of(tmp_path, world.missing_feeds()))


def test_the_table_has_a_row_for_each_person_of_the_page(tmp_path):
    lines = table_of(tmp_path, world.ordinary_week())
    assert [(line["rank"], line["client_id"]) for line in lines] == [
        (str(rank), person[0]) for rank, person in enumerate(world.PEOPLE, start=1)
    ]
    first = lines[0]
    assert (first["as_of"], first["due_on"], first["since_on"]) == ("2026-03-02", "2026-02-27", "2026-02-26")
    assert first["other_reasons"].count(";") == 2
    assert first["ask"] == "Power-cut plan; Longest single sitting"
    assert first["has_held_row"] == "true"
    assert "not an alarm system" in first["note"]


def test_the_table_says_what_each_person_waits_for_and_since_when(tmp_path):
    rows = world.ordinary_week()
    [wait] = [wait for wait in rows["audit.waiting"] if wait["client_id"] == "C-0417"]
    undated = {"loan_id": "L-9", "surface_class": "foam", "waiting_since_on": None, "days_waiting": None}
    rows["audit.waiting"].append(wait | undated)
    lines = {line["client_id"]: line for line in table_of(tmp_path, rows)}
    labels = {(label["kind"], label["code"]): label["label"].lower() for label in rows["policy.labels"]}
    air, foam = (labels["surface_class", code] for code in ("alternating_air", "foam"))
    assert lines["C-0417"]["waits_for"] == f"bed: {foam}; bed: {air}"
    assert lines["C-0417"]["waiting_since_on"] == "not recorded; 2026-02-28"
    assert (lines["C-0098"]["waits_for"], lines["C-0098"]["waiting_since_on"]) == ("", "")


def test_the_table_is_sealed_like_the_pages(tmp_path):
    table_of(tmp_path, world.ordinary_week())
    sums = json.loads((tmp_path / FOLDER / "manifest.json").read_text("utf-8"))["pages"]
    assert sums["worklist.csv"] == sha256((tmp_path / FOLDER / "worklist.csv").read_bytes()).hexdigest()
    contents = (tmp_path / FOLDER / "index.html").read_text("utf-8")
    assert 'href="worklist.csv"' in contents


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_no_cell_of_the_table_is_a_formula(start, tmp_path):
    hostile = f'{start}HYPERLINK("x"),2\n"Ünsinn"'
    rows = world.ordinary_week()
    for relation, names in {
        "audit.worklist": ("client_id", "team", "clinician", "reason"),
        "audit.findings": ("title", "consider"),
        "audit.to_ask": ("label",),
    }.items():
        for row in rows[relation]:
            row.update(dict.fromkeys(names, hostile))
    for relation in ("audit.findings", "audit.to_ask"):
        for row in rows[relation]:
            row.update(client_id=hostile)
    lines = table_of(tmp_path, rows)
    assert len(lines) == 4
    cells = [cell for line in lines for cell in line.values()]
    assert [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))] == []
    assert lines[0]["team"] == f"'{hostile}"
    assert "Ünsinn" in lines[0]["ask"]


def test_hostile_text_is_text_on_the_page(tmp_path):
    hostile = "<script>alert(1)</script>\"'&{{ 7*7 }}"
    rows = with_equipment()
    for relation in ("audit.worklist", "audit.findings", "audit.to_ask", "state.loans"):
        for row in rows[relation]:
            for name in ("team", "clinician", "reason", "title", "consider", "label", "evidence", "owner"):
                if name in row:
                    row[name] = hostile
    page = worklist_of(tmp_path, rows)
    assert "<script>" not in page
    assert "&lt;script&gt;" in page
    assert "49" not in words_of(page)


def test_the_weekly_audit_leads_to_each_person_s_row(tmp_path):
    pages = pages_of(tmp_path, world.ordinary_week())
    leads = re.findall(r'href="worklist.html#(person-[^"]+)"', pages[f"{FOLDER}/weekly_audit.html"])
    there = set(re.findall(r'id="([^"]+)"', pages[f"{FOLDER}/worklist.html"]))
    assert len(leads) == 4
    assert set(leads) <= there


def test_dates_are_written_out(tmp_path):
    words = words_of(worklist_of(tmp_path, with_equipment()))
    assert "worklist to Monday 2 March 2026" in words
    assert not re.search(r"\b2026-\d\d-\d\d\b", words)
    assert date(2026, 3, 2) == world.AS_OF


def test_a_quiet_finding_says_why_and_until_when(tmp_path):
    rows = world.ordinary_week()
    first = rows["audit.findings"][0]
    first.update(is_shown=False, status="accepted", answer="not_reached", quiet_until=date(2026, 3, 9))
    page = worklist_of(tmp_path, rows)
    part = " ".join(page.partition('id="quietened"')[2].partition("</section>")[0].split())
    assert "tried, not reached, until 9 March" in part


def test_what_is_told_once_for_the_service_is_in_no_list(tmp_path):
    rows = world.ordinary_week()
    rows["audit.findings"].append(
        rows["audit.findings"][0]
        | {"finding_id": "f9", "is_shown": False, "is_told_once": True, "title": "Told for the whole service"}
    )
    assert "Told for the whole service" not in worklist_of(tmp_path, rows)
