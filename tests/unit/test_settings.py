"""caseround.toml is read strictly: a key that means nothing is an error, not a wish that is silently dropped."""

import re

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from pipeline.errors import SettingsUnsound
from pipeline.settings import Source, Workspace, load_workspace, write_settings
from pipeline.settings_text import COMMENTED


def workspace(folder, text):
    (folder / "caseround.toml").write_text(text, encoding="utf-8")
    return load_workspace(folder)


def test_the_commented_file_says_nothing_but_the_time_zone(tmp_path):
    said = [line for line in COMMENTED.splitlines() if line and not line.startswith("#")]
    assert said == ['time_zone = "UTC"']
    assert workspace(tmp_path, COMMENTED) == Workspace(root=tmp_path)


def test_the_commented_examples_are_sound_when_uncommented(tmp_path):
    spoken = re.findall(r'^(?:# )?(\[.*|\w+ = .*|"[^"]+" = .*)$', COMMENTED, flags=re.MULTILINE)
    made = workspace(tmp_path, "\n".join(spoken))
    assert made.expected_days == {"assessments": 7, "loans": 7}
    [source] = made.sources
    assert source.codes == {"scale": {"BRADEN SCALE": "braden"}}
    assert (source.name, source.feed, source.ignore) == ("ward_system", "assessments", ("Ward comment",))


def test_init_leaves_an_existing_file_alone(tmp_path):
    assert write_settings(tmp_path)
    (tmp_path / "caseround.toml").write_text("time_zone = 'UTC' # mine\n")
    assert not write_settings(tmp_path)
    assert "# mine" in (tmp_path / "caseround.toml").read_text()


def test_an_inbox_alone_gets_the_defaults(tmp_path):
    (tmp_path / "inbox").mkdir()
    made = load_workspace(tmp_path)
    assert (made.held_share_max, made.held_for_days, made.audit_every_days, made.client_pages_max) == (0.2, 90, 7, 2000)
    assert made.time_zone == "UTC"


def test_a_folder_that_is_no_workspace_is_refused(tmp_path):
    with pytest.raises(SettingsUnsound, match="not a workspace"):
        load_workspace(tmp_path)


SOURCE = '[[source]]\nname = "a"\nmatch = "a*.csv"\nfeed = "clients"\n'


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("time_zone = 7", "time_zone"),
        ("time_zone = 'Nowhere/Land'", "time_zone"),
        ("no_such_key = 1", "no_such_key"),
        ("time_zone = ", "not TOML"),
        ("held_share_max = 2", "held_share_max"),
        ("held_share_max = true", "held_share_max"),
        ("held_for_days = 1.5", "held_for_days"),
        ("[expected_days]\nlunch = 7", "lunch"),
        ("[expected_days]\nloans = 0", "expected_days.loans"),
        ("[source]\nname = 'a'", "single brackets"),
        ('[[source]]\nname = "a"\nmatch = "a*.csv"', "lacks feed"),
        (SOURCE + "colour = 1", "colour"),
        (SOURCE + 'delivers = "sometimes"', "delivers"),
        (SOURCE + 'updated_at = "yesterday"', "updated_at"),
        (SOURCE + 'updated_at = "file name, %j"', "updated_at"),
        (SOURCE + 'updated_at = "file name, %Y%m"', "updated_at"),
        (SOURCE + 'updated_at = "file name, %Y%m%d%d"', "updated_at"),
        (SOURCE + 'updated_at = "file name, %Y%y%m%d"', "updated_at"),
        *((SOURCE + f"date_format = {form}", "date_format = .* in the source 'a', from which no day")
          for form in ("'DD/MM/YYYY'", "'%d/%m'", "'%H:%M'", "'%Q'", "'%'", "''", "7", "['%d/%m/%Y']")),
        (SOURCE + "[source.columns]\nA = 'no_such_column'", "no_such_column"),
        (SOURCE + "[source.columns]\nA = 'client_id'\nB = 'client_id'", "two headings"),
        (SOURCE + "[source.codes]\nsex = 'x'", "text to text"),
        (SOURCE + "[source.codes.no_such_column]\nx = 'y'", "no_such_column"),
        (SOURCE + "ignore = 'a'", "ignore"),
        (SOURCE + SOURCE, "two"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_its_reason(tmp_path, text, reason):
    with pytest.raises(SettingsUnsound, match=reason):
        workspace(tmp_path, text)


@pytest.mark.parametrize(
    "form",
    ["%d/%m/%Y", "%d/%m/%Y %H:%M", "%d-%b-%y", "%-d.%-m.%Y", "%Y%m%d", "%d/%m/%Y %I:%M %p", "%Y-%m-%dT%H:%M:%S%z"],
)
def test_a_form_that_tells_a_day_is_taken(tmp_path, form):
    assert workspace(tmp_path, SOURCE + f'date_format = "{form}"').sources[0].date_format == form


@pytest.mark.parametrize("form", ["%Y%m%d", "%d-%m-%y", "%Y-%m-%d_%H%M", "week of %Y-%m-%d"])
def test_a_name_that_tells_a_day_is_taken(tmp_path, form):
    assert workspace(tmp_path, SOURCE + f'updated_at = "file name, {form}"').sources[0].updated_at


def test_a_form_that_means_nothing_stops_a_run_before_anything_is_written(tmp_path):
    (tmp_path / "inbox").mkdir()
    (tmp_path / "caseround.toml").write_text(SOURCE + 'date_format = "DD/MM/YYYY"\n', encoding="utf-8")
    ended = CliRunner().invoke(main, ["run", "--workspace", str(tmp_path)])
    assert ended.exit_code == 10
    assert "caseround.toml says date_format = 'DD/MM/YYYY' in the source 'a'" in ended.stderr
    assert sorted(path.name for path in tmp_path.iterdir()) == ["caseround.toml", "inbox"]


@pytest.mark.parametrize(
    ("path", "fits"),
    [("ward_1.csv", True), ("2026-01-05/ward_1.csv", True), ("ward/1.csv", False), ("WARD_1.csv", False)],
)
def test_a_source_fits_by_name_or_by_path(path, fits):
    assert Source(name="w", match="ward_*.csv", feed="clients").fits(path) is fits


def test_a_glob_with_a_folder_looks_at_the_path():
    assert Source(name="w", match="ward/*.csv", feed="clients").fits("ward/1.csv")
