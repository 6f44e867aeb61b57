"""Plain text for a terminal: no value moves the cursor or begins a line of its own, and long lines are broken."""

from decimal import Decimal

from pipeline.report import filters
from pipeline.report.explain import WIDTH, _wrapped
from pipeline.report.templates import environment, text_environment


def test_a_value_cannot_write_a_line_of_its_own(tmp_path):
    (tmp_path / "answer.txt").write_text("team: {{ team }}")
    page = text_environment(tmp_path, labels={}).get_template("answer.txt")
    assert page.render(team="Quill\x1b[2Jmoor\nFINDINGS: 0") == "team: Quill [2Jmoor FINDINGS: 0"


def test_long_lines_are_broken_below_their_own_margin():
    text = _wrapped("   a " + "word " * 40 + "\n\nend")
    lines = text.splitlines()
    assert max(map(len, lines)) <= WIDTH
    assert lines[0].startswith("   a word")
    assert lines[1].startswith("     word")
    assert lines[-2:] == ["", "end"]


def test_days_in_a_sentence_are_written_out():
    assert filters.dated("Braden 10 on 2026-02-26 reads as high") == "Braden 10 on 26 February 2026 reads as high"
    assert filters.dated(None) is None


def test_measurements_lose_the_zeros_of_their_column():
    assert filters.plain(Decimal("12.6000")) == "12.6"
    assert filters.plain(Decimal("10.0000")) == "10"
    assert filters.plain(None) == "No data"


def test_columns_are_named_in_words():
    columns = filters.columns_for({("column", "form_on"): "Newest form"})
    assert columns("form_on; weight_kg") == "Newest form; weight kg"
    assert columns(None) == ""


def test_templates_that_are_compiled_once_know_their_own_words_and_their_own_text(tmp_path):
    page = tmp_path / "answer.txt"
    (tmp_path / "style.css").write_text("")

    def written(environment, label):
        made = environment(tmp_path, labels={("stage", "stage_4"): label}).get_template("answer.txt")
        return made.render(mark="<b>")

    page.write_text('{{ "stage_4" | words("stage") }} {{ mark }}')
    assert written(text_environment, "stage 4") == "stage 4 <b>"
    assert written(text_environment, "Stage four") == "Stage four <b>"
    assert written(environment, "stage 4") == "stage 4 &lt;b&gt;"
    page.write_text("{{ mark }} only")
    assert written(text_environment, "stage 4") == "<b> only"
