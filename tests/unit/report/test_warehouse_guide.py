"""The analyst's page says of each relation what the file says of it, and shows the questions as they can be run."""

import re
from html import unescape

import duckdb
import pytest

from pipeline.log import RunLog, no_progress
from pipeline.report import render
from pipeline.report.filters import coded
from pipeline.report.pages.warehouse_guide import example_queries, read_example
from pipeline.resources import reports_dir, sql_dir
from pipeline.review.graph import relation_files
from pipeline.review.inputs import loaded_names
from tests.unit.report import world


def guide_of(root, rows, *statements):
    workspace = world.write_world(root, rows)
    with duckdb.connect(str(workspace.warehouse)) as con:
        for statement in statements:
            con.execute(statement)
    index = render(workspace, progress=no_progress, log=RunLog())
    return next(index.parent.glob("*/*/warehouse_guide.html")).read_text("utf-8")


@pytest.fixture(scope="module")
def guide(tmp_path_factory):
    return guide_of(tmp_path_factory.mktemp("guide"), world.ordinary_week())


def text_of(page):
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", "", page)))


@pytest.mark.parametrize("relation", sorted(world.COLUMNS))
def test_every_relation_and_column_is_there(guide, relation):
    [part] = re.findall(rf"<summary><code>{re.escape(relation)}</code>.*?</details>", guide, flags=re.DOTALL)
    names = [declared.split()[0] for declared in world.COLUMNS[relation].split(", ")]
    assert re.findall(r'<th scope="row"><code>(\w+)</code>', part) == names
    said = text_of(part)
    assert f"{world.QUESTION} One row per thing." in said
    assert "Beware: It is invented." in said


def test_codes_are_marked_as_what_one_types(guide):
    assert "what stands here; one of <code>client_a</code>, b" in guide
    assert coded("a_b < c and risk.scores_x") == "<code>a_b</code> &lt; c and <code>risk.scores_x</code>"


def test_what_a_file_does_not_say_is_not_made_up(tmp_path):
    new = ("CREATE SCHEMA later", "CREATE TABLE later.thing (a_b INTEGER)", "CREATE VIEW later.view AS SELECT 1 AS c")
    page = guide_of(tmp_path, world.ordinary_week(), *new)
    [part] = re.findall(r"<summary><code>later.thing</code>.*?</details>", page, flags=re.DOTALL)
    assert text_of(part).count("not recorded") == 2
    assert "A view: it is worked out when it is asked." in page
    # A schema that the page has no words for stands at the end and is not left out.
    assert page.index('id="schema-later"') > page.index('id="schema-review"')


def test_the_verdict_counts_what_is_there(guide):
    columns = sum(len(declared.split(", ")) for declared in world.COLUMNS.values()) + len(world.HEADLINE)
    assert f"{len(world.COLUMNS) + 1} relations with {columns} columns" in text_of(guide)
    assert "describe 238 people as of 2 March 2026" in text_of(guide)


def test_the_times_are_those_of_the_audit(guide):
    times = text_of(guide.partition('class="stack times"')[2].partition("</table>")[0])
    assert "known_at" in times and "Monday 2 March 2026 at 06:00, in UTC" in times
    assert "23 February 2026" in times


def test_a_first_audit_has_none_before_it(tmp_path):
    assert "none: the first audit" in guide_of(tmp_path, world.first_week())


def test_eleven_questions_stand_as_they_can_be_run(guide):
    assert len(example_queries()) == 11
    shown = [unescape(block).strip() for block in re.findall(r'aria-label="Query \d+">(.*?)</pre>', guide, re.DOTALL)]
    assert shown == [read_example(query).sql.strip() for query in example_queries()]


@pytest.mark.parametrize("query", example_queries(), ids=lambda query: query.stem)
def test_a_question_has_its_head_and_fits_its_page(query):
    told = read_example(query)
    assert told.question.endswith("?")
    assert told.beware
    assert max(len(line) for line in told.sql.splitlines()) <= 100
    assert "ORDER BY" in told.sql


def test_the_page_names_no_relation_that_is_not_there():
    texts = [path.read_text("utf-8") for path in (reports_dir() / "warehouse_guide").rglob("*.html")]
    schemas = "|".join(sorted({name.partition(".")[0] for name in (*relation_files(sql_dir()), *loaded_names())}))
    named = {name for text in texts for name in re.findall(rf"<code>((?:{schemas})\.\w+)</code>", text)}
    assert len(named) >= 8
    assert named <= {*relation_files(sql_dir()), *loaded_names(), "audit.verdicts"}
