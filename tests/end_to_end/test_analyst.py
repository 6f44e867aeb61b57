"""An analyst at the sample's warehouse: the eleven questions of the guide are answered as the pages answer them."""

import json
import re
from html import unescape

import duckdb
import pytest

from pipeline.asking import Limits, Question, answer
from pipeline.report.pages.warehouse_guide import example_queries
from pipeline.settings import load_workspace
from tests.unit.report.page_faults import faults_of

pytestmark = pytest.mark.slow

QUERIES = {query.stem: query.read_text(encoding="utf-8") for query in example_queries()}


@pytest.fixture(scope="module")
def demo(sample):
    """The sample caseload, taken in week by week, reviewed and shown."""
    return load_workspace(sample.root)


@pytest.fixture(scope="module")
def ask(demo):
    def asked(sql):
        printed = []
        answer(demo, Question(sql, form="json", limits=Limits(seconds=120)), write=printed.append)
        return json.loads("".join(printed))

    return asked


def page_of(demo, name):
    [page] = demo.audits.glob(f"*/*/{name}.html")
    return page.read_text("utf-8")


def said_by(demo, pattern):
    """The one number that the weekly audit prints in these words."""
    text = re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", page_of(demo, "weekly_audit"))))
    found = re.search(pattern, text)
    assert found, pattern
    return int(found[1].replace(",", ""))


def people(rows):
    return len({row["client_id"] for row in rows})


def total(rows, *names):
    return sum(row[name] for row in rows for name in names)


# What the page prints, and how an analyst gets it from the answer.
AGREES = {
    "01_see_first": (r"(\d+) of the \d+ people on the caseload need someone", people),
    "02_below_need": (r"Mattress .*? meet need, (\d+) below it", people),
    "03_overdue_by_team": (r"Reassessment (\d+) of \d+ overdue", lambda rows: total(rows, "late")),
    "07_held_back": (
        r"(\d+) rows are held back",
        lambda rows: total([row for row in rows if row["code"] != "client_unknown"], "held_rows"),
    ),
    "09_power_cuts": (r"of (\d+) powered surfaces have no", lambda rows: total(rows, "powered")),
}


@pytest.mark.parametrize("name", QUERIES)
def test_a_question_is_answered(name, ask):
    rows = ask(QUERIES[name])
    assert rows, "the sample has something to say to each"
    assert len(rows[0]) >= 4


@pytest.mark.parametrize("name", AGREES)
def test_the_answer_is_the_figure_of_the_page(name, ask, demo):
    pattern, counted = AGREES[name]
    assert counted(ask(QUERIES[name])) == said_by(demo, pattern)


def test_powered_surfaces_without_a_plan_are_those_of_the_page(ask, demo):
    rows = ask(QUERIES["09_power_cuts"])
    printed = said_by(demo, r"(\d+) of \d+ powered surfaces have no power-cut plan")
    assert total(rows, "without_plan", "not_recorded") == printed


def test_sums_that_do_not_agree_are_those_that_quality_counts(ask):
    # quality.score_agreement counts in SQL of its own; the example lists from risk.scores.
    [counted] = ask("SELECT sum(differing) AS n FROM quality.score_agreement")
    assert len(ask(QUERIES["06_sums_that_do_not_agree"])) == counted["n"]


def test_people_who_are_not_known_are_those_of_the_headline(ask):
    asked = ask("SELECT count(DISTINCT client_id) AS n FROM audit.to_ask WHERE is_asked")[0]["n"]
    assert asked == ask("SELECT people_with_questions AS n FROM audit.headline")[0]["n"]
    # What only an export that never came could tell is asked of nobody, and is not known all the same.
    listed = ask("SELECT count(DISTINCT client_id) AS n FROM audit.unknowns")[0]["n"]
    assert asked < listed
    assert max(row["people"] for row in ask(QUERIES["08_not_known"])) <= listed


def test_the_shares_of_the_findings_are_counted_one_by_one(ask):
    # Each finding is counted here person by person, and not by one GROUP BY.
    people = ask("SELECT count(*) AS n FROM state.clients")[0]["n"]
    under = {}
    for row in ask("SELECT rule, client_id FROM audit.findings"):
        under.setdefault(row["rule"], set()).add(row["client_id"])
    printed = {row["rule"]: row for row in ask(QUERIES["11_share_of_each_finding"])}
    assert {rule: row["people"] for rule, row in printed.items()} == {rule: len(who) for rule, who in under.items()}
    assert all(abs(row["percent_of_people"] * people - 100 * row["people"]) <= people / 20 for row in printed.values())


def test_no_small_number_leaves_with_the_figures_to_share(ask):
    shared = [row["numerator"] for row in ask(QUERIES["10_figures_to_share"]) if row["numerator"] is not None]
    small = {row["name"]: row["amount"] for row in ask("SELECT name, amount FROM policy.parameters")}
    assert not [n for n in shared if small["small_number_from"] <= n <= small["small_number_to"]]


def test_the_guide_of_the_sample_is_sound_and_leaves_nothing_out(demo):
    page = page_of(demo, "warehouse_guide")
    assert faults_of(page) == []
    assert len(page.encode()) < 500_000
    with duckdb.connect(str(demo.warehouse), read_only=True) as con:
        listed = con.execute("SELECT schema_name || '.' || table_name FROM duckdb_tables()").fetchall()
        columns = con.execute("SELECT count(*) FROM duckdb_columns() WHERE NOT internal").fetchone()[0]
    assert [name for (name,) in listed if f"<summary><code>{name}</code>" not in page] == []
    assert page.count('<th scope="row"><code>') == columns + 4
    for bare in ("<td>not recorded</td>", '<span class="block">not recorded', "<p>not recorded <span"):
        assert bare not in page


def test_the_guide_is_linked_from_the_audit(demo):
    [contents] = demo.audits.glob("*/*/index.html")
    assert 'href="warehouse_guide.html"' in contents.read_text("utf-8")
