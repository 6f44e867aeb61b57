"""What the weekly audit says in each kind of week, and that what it prints is what the warehouse holds."""

import re
from datetime import date

import duckdb
import pytest

from tests.unit.report import world
from tests.unit.report.test_pages import audit_of


def words_of(page):
    """The page as a reader sees it: no style, no tags, single spaces."""
    page = re.sub(r"<(style|title|desc)\b.*?</\1>", "", page, flags=re.DOTALL)
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page)).replace("&nbsp;", " ")


def test_the_verdict_has_its_denominator_and_its_change(tmp_path):
    words = words_of(audit_of(tmp_path, world.ordinary_week()))
    assert (
        "9 of the 238 people on the caseload need someone today or tomorrow"
        " (on 23 February: 12 of 241; since then 8 dealt with, 5 new, 4 still open)."
    ) in words
    assert "For 52 people we cannot judge the mattress, which is not the same as safe." in words


def test_the_four_figures_stand_in_words(tmp_path):
    words = words_of(audit_of(tmp_path, world.ordinary_week()))
    assert (
        "186 of 238 can be judged 154 meet need, 19 below it, 7 above it (step-down review), 6 unsafe as set up."
    ) in words
    assert "74 of 121 can be judged Of those who sit out: 52 meet need, 15 below it, 3 above it" in words
    assert "29 of 238 overdue (12 %) On 23 February 2026: 34 of 241. 8 of the 29 have an open wound. 91 more" in words
    assert (
        "4 in 4 people 1 full-thickness or deep. 2 were there when the person came, 1 arose on the caseload,"
        " 1 not known."
    ) in words


def test_banners_stand_above_the_verdict(tmp_path):
    rows = world.ordinary_week()
    rows["policy.blocks"][0].update(signed_off_on=None)
    rows["quality.files"].append({"file_name": "odd.csv", "status": "refused", "code": "unknown_feed"})
    page = audit_of(tmp_path, rows)
    above = words_of(page.partition('id="verdict"')[0])
    assert "Late: surfaces on loan last came on 19 February 2026, 11 days ago, expected every 7 days." in above
    assert "1 file was refused, and nothing in it was used: odd.csv (which feed it is cannot be told)." in above
    assert "Rows held back for 1 person" in above
    assert "Policy not signed off: scales/braden.toml." in above


def test_a_feed_that_is_absent_is_no_question_for_a_visit(tmp_path):
    rows = world.ordinary_week()
    rows["audit.unknowns"].append({"client_id": "C-0098", "column_name": "which_mattress", "why": "feed_absent"})
    page = audit_of(tmp_path, rows)
    assert "which mattress" not in page.partition('id="see-first"')[2].partition("</table>")[0]
    assert "which mattress" in page.partition("Facts that are missing")[2]


def test_figures_that_cannot_be_told_read_no_data(tmp_path):
    rows = world.missing_feeds()
    blank = [
        name for name in world.HEADLINE if name.startswith(("new_", "waiting_", "lying_", "powered_", "services_"))
    ]
    rows["audit.headline"][0].update(dict.fromkeys(blank))
    words = words_of(audit_of(tmp_path, rows))
    assert "The export of surfaces on loan did not come, so nothing can be said." in words
    assert "The export of injuries did not come, so nothing can be said." in words
    assert "No new injury recorded" not in words


def test_a_long_list_of_unsigned_files_is_a_number(tmp_path):
    rows = world.ordinary_week()
    rows["policy.blocks"] = [{"block_id": f"b{place}", "file": f"rules/{place}.toml"} for place in range(4)]
    assert "Policy not signed off: 4 files of the policy." in words_of(audit_of(tmp_path, rows))


def test_an_ordinary_week_has_no_banner_that_does_not_apply(tmp_path):
    rows = world.quiet_week()
    assert "Before you read on" not in audit_of(tmp_path, rows)


def test_a_quiet_week_says_how_many_were_checked(tmp_path):
    words = words_of(audit_of(tmp_path, world.quiet_week()))
    assert "Nobody needs someone today or tomorrow. We checked 214 people (on 23 February: 0 of 214)." in words
    assert "all-clear" not in words
    assert "No new injury recorded" in words


def test_missing_feeds_are_never_good_news(tmp_path):
    words = words_of(audit_of(tmp_path, world.missing_feeds()))
    assert "Never arrived: looks at wounds, surfaces on loan." in words
    assert "This is not an all-clear" in words


def test_a_feed_that_never_came_is_missing_even_if_nobody_expected_it(tmp_path):
    rows = world.quiet_week()
    rows["quality.arrivals"][0].update(last_received_at=None, days_since=None, expected_days=None, is_late=False)
    words = words_of(audit_of(tmp_path, rows))
    assert "Never arrived: clients." in words
    assert "This is not an all-clear" in words


def test_an_empty_caseload_is_said_in_words(tmp_path):
    words = words_of(audit_of(tmp_path, world.nobody()))
    assert "Nobody was on the caseload on 2 March 2026" in words
    assert "can be judged" not in words


def test_a_first_audit_compares_with_nothing(tmp_path):
    words = words_of(audit_of(tmp_path, world.first_week()))
    assert "First audit: there is no week before to compare with." in words
    assert "(on " not in words.partition("Who to see first")[0]
    assert "63 open findings are a starting backlog" in words


def test_no_percentage_for_a_small_caseload(tmp_path):
    rows = world.ordinary_week()
    assert "29 of 238 overdue (12 %)" in words_of(audit_of(tmp_path / "large", rows))
    rows["audit.headline"][0].update(people=31, overdue_people=4, overdue_percent=None)
    words = words_of(audit_of(tmp_path / "small", rows))
    assert "4 of 31 overdue On" in words
    assert "%" not in words


def test_who_to_see_first_is_worst_first_in_words(tmp_path):
    page = audit_of(tmp_path, world.ordinary_week())
    table = page.partition('id="see-first"')[2].partition("</table>")[0]
    assert re.findall(r'class="id"[^>]*>([^<]+)', table) == [person[0] for person in world.PEOPLE]
    words = words_of(table)
    assert "Full-thickness or deep injury on a non-air surface and 3 more" in words
    assert "27 February 1 day overdue Power-cut plan; Longest single sitting" in words
    assert "A row of theirs is held back." in words
    assert "clinician not recorded" in words
    assert "Bed or seat: bed; Weight in kg: 62.5; Issued: 3 November 2025; Powered: no." in words


def test_the_first_table_stops_at_fifteen_and_says_so(tmp_path):
    rows = world.ordinary_week()
    for rank in range(5, 41):
        rows["audit.worklist"].append({
            "rank": rank, "client_id": f"C-9{rank:02}", "team": "Saltbeck Community", "urgent_count": 0,
            "soon_count": 1, "routine_count": 0, "days_overdue": 0, "first_rule": "heels_not_clear", "level": "soon",
            "reason": "Heels not clear of the bed", "due_on": date(2026, 3, 16), "more_count": 0,
            "has_held_row": False,
        })  # fmt: skip
    page = audit_of(tmp_path, rows)
    table = page.partition('id="see-first"')[2].partition("</table>")[0]
    assert len(re.findall(r'class="id"', table)) == 15
    assert "The first 15 of 40 stand here; the rest follow" in words_of(page)
    assert "Also today or tomorrow" not in page
    assert "What leads, of the 9: less than the person needs 2; can harm today 1." in words_of(page)


def test_everybody_urgent_stands_on_the_page_or_is_counted(tmp_path):
    rows = world.ordinary_week()
    model = rows["audit.worklist"][1]
    rows["audit.worklist"] = [
        model | {"rank": rank, "client_id": f"C-9{rank:03}", "days_overdue": 3 if rank == 20 else 0}
        for rank in range(1, 131)
    ]
    page = audit_of(tmp_path, rows)
    words = words_of(page)
    assert "What leads, of the 9: can harm today 130." in words
    assert (
        "The first 15 of 130 stand here, the next 100 of today or tomorrow in one line each below;"
        " 15 more of today or tomorrow and the rest follow in the same order in the worklist"
    ) in words
    section = page.partition('id="see-next"')[2].partition("</table>")[0]
    assert re.findall(r'class="id"[^>]*>([^<]+)', section) == [f"C-9{rank:03}" for rank in range(16, 116)]
    row = words_of(section.partition("C-9020")[2].partition("</tr>")[0])
    assert "Smokes in bed on a pump-fed mattress, no fire plan 2 March 3 days overdue Tollmere Care Homes, K03" in row


def test_every_sentence_figure_is_the_headline_s(tmp_path):
    """Each figure gets a value of its own; each must be on the page, and only where the headline says so."""
    rows = world.ordinary_week()
    headline = rows["audit.headline"][0]
    shown = [name for name in headline if name not in NOT_IN_SENTENCES]
    headline.update({name: 1001 + 7 * place for place, name in enumerate(shown)})
    words = words_of(audit_of(tmp_path, rows))
    missing = [name for name in shown if f"{headline[name]:,}" not in words]
    assert missing == []


# These are compared or shown by a table instead.
NOT_IN_SENTENCES = {"overdue_percent", "sitting_cannot_judge", "findings_open"}


def test_the_picture_s_table_is_the_query_s(tmp_path):
    page = audit_of(tmp_path, world.ordinary_week())
    table = page.partition("People by position and need")[2].partition("</table>")[0]
    with duckdb.connect(str(tmp_path / "warehouse.duckdb"), read_only=True) as con:
        counted = con.execute(
            "SELECT verdict, count(*) FROM fit.provision GROUP BY verdict ORDER BY verdict"
        ).fetchall()
    cells = [[int(cell) for cell in re.findall(r'<td class="number">(\d+)', row)] for row in table.split("<tr>")[2:]]
    sums = dict(zip(world.VERDICTS, [sum(column) for column in list(zip(*cells, strict=True))[1:]], strict=True))
    assert sums == dict(counted)
    assert sum(row[0] for row in cells) == sum(sums.values())


@pytest.mark.parametrize("place", ["team", "clinician", "client_id", "reason", "consider", "label"])
def test_hostile_text_is_text(place, tmp_path):
    hostile = "<script>alert(1)</script>\"'&{{ 7*7 }}"
    rows = world.ordinary_week()
    for relation in ("audit.worklist", "audit.findings", "audit.to_ask", "audit.caseload"):
        for row in rows[relation]:
            if place in row:
                row[place] = hostile
    page = audit_of(tmp_path, rows)
    assert "<script>" not in page
    assert "&lt;script&gt;" in page
    assert "49" not in words_of(page).partition("Who to see first")[2][:400]


def test_dates_are_written_out(tmp_path):
    words = words_of(audit_of(tmp_path, world.ordinary_week()))
    assert "weekly audit to Monday 2 March 2026" in words
    assert not re.search(r"\b2026-\d\d-\d\d\b", words)
    assert date(2026, 3, 2) == world.AS_OF


def test_it_says_what_was_answered_and_what_is_left_of_it(tmp_path):
    rows = world.ordinary_week()
    leading = next(finding for finding in rows["audit.findings"] if finding["client_id"] == "C-0233")
    leading.update(status="returned", answer="corrected_disagrees")
    page = audit_of(tmp_path, rows)
    row = page.partition("C-0233")[2].partition("</tr>")[0]
    assert "Said corrected, export disagrees." in row
    table = page.partition("What was answered")[2].partition("</table>")[0]
    assert "said corrected, record disagrees" in table
    assert "What was answered" not in audit_of(tmp_path / "other", world.ordinary_week())


def test_a_rule_that_surges_is_told_before_the_verdict(tmp_path):
    rows = world.quiet_week()
    surge = {"title": "No mattress recorded", "people": 90, "of_people": 214, "previous_people": 12, "of_previous": 214}
    rows["audit.rule_surges"] = [surge | {"rule": "missing_surface", "change": "up"}]
    words = words_of(audit_of(tmp_path, rows))
    banner = "Suddenly more: No mattress recorded, 90 of 214 people, last time 12 of 214."
    assert words.index(banner) < words.index("Nobody needs someone")


def test_a_rule_that_can_no_longer_be_told_is_not_said_to_be_mended(tmp_path):
    rows = world.quiet_week()
    surge = {"title": "No mattress recorded", "people": 0, "of_people": 214, "previous_people": 20, "of_previous": 214}
    rows["audit.rule_surges"] = [surge | {"rule": "missing_surface", "change": "down", "untold_people": 214}]
    words = words_of(audit_of(tmp_path, rows))
    assert "last time 20 of 214. For 214 people it cannot be told now, which may be all there is to it." in words


def test_a_base_that_nobody_checked_stands_beside_the_matches(tmp_path):
    rows = world.ordinary_week()
    matched = [row for row in rows["fit.provision"] if (row["position"], row["verdict"]) == ("lying", "matched")]
    for place, row in enumerate(matched):
        row["loan_id"] = f"L-{place}"
        rows["records.loans"].append({
            "client_id": row["client_id"], "loan_id": row["loan_id"], "bottoming_check": "pass" if place else None,
        })  # fmt: skip
    said = f"Of the {len(matched)} mattresses whose class meets the need, for 1 it is not recorded whether the body"
    assert said in words_of(audit_of(tmp_path, rows))
    assert "ask for care all the same" not in said
    matched[0].update(is_asked=True, cautions="its cover is damaged")
    assert "1 bed or seat whose class meets the need asks for care all the same" in words_of(
        audit_of(tmp_path / "with_care", rows)
    )
    rows["records.loans"][0]["bottoming_check"] = "fail"
    assert "whether the body reaches the base" not in words_of(audit_of(tmp_path / "all_checked", rows))
