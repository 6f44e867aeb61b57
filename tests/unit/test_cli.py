"""The command line: errors become exit codes in one place, and no message holds a cell."""

import click
import pytest
from click.testing import CliRunner

from pipeline import cli, errors
from pipeline.cli import Bars, Commands, main
from pipeline.sample import write_sample


def ending_with(error):
    """A group of one command that ends in the given way."""

    @click.group(cls=Commands)
    def group():
        """Only here to be invoked."""

    @group.command()
    def act():
        """End."""
        if isinstance(error, int):
            return error
        raise error

    return CliRunner().invoke(group, ["act"])


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (0, 0),
        (16, 16),
        (errors.SettingsUnsound(what="No."), 10),
        (errors.ChecksDisagree(what="No."), 13),
        (errors.WorkspaceBusy(what="No."), 14),
        (errors.NoWarehouse(what="No."), 15),
        (errors.VerifyFoundChange(what="No."), 17),
        (KeyboardInterrupt(), 130),
        (click.BadParameter("no"), 2),
        (BrokenPipeError(), 0),
        (KeyError("no"), 1),
    ],
)
def test_every_end_has_its_exit_code(error, code):
    assert ending_with(error).exit_code == code


def test_an_error_is_told_on_stderr_and_stdout_stays_clean():
    ended = ending_with(errors.NoWarehouse(what="There is none.", todo="Run first."))
    assert ended.stderr == "Stopped: There is none. Run first.\n"
    assert ended.stdout == ""


def test_a_bug_says_where_and_never_quotes_a_cell():
    ended = ending_with(ValueError("could not convert 'Jane Example' to a number"))
    assert "Jane" not in ended.output
    assert "ValueError at test_cli.py" in ended.stderr


def test_help_fits_its_lines():
    shown = CliRunner().invoke(main, ["--help"], terminal_width=80).output
    listed = [line for line in shown.splitlines() if line.startswith("  ") and line.split()[0] in main.commands]
    assert len(listed) == len(main.commands)
    assert all(line.endswith(".") and not line.endswith("...") for line in listed)


def test_the_version_is_shown():
    assert CliRunner().invoke(main, ["--version"]).output == "caseround, version 0.1.0\n"


@pytest.mark.parametrize(
    "words",
    [
        ["nonsense"],
        ["review", "--as-of", "yesterday"],
        ["review", "--known-at", "2026-13-01"],
        ["run", "--received-at", "soon"],
        ["held", "--format", "xml"],
        ["init"],
        ["run", "--policy", "no-such-folder"],
    ],
)
def test_what_is_typed_wrongly_ends_with_2(words, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert CliRunner().invoke(main, words).exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_bars_stay_away_from_a_log_file(capsys):
    bars = Bars()
    bars("rows", 1, 2)
    bars.close()
    assert capsys.readouterr().err == ""


def test_bars_follow_each_thing_that_is_counted(monkeypatch):
    told = []

    class Bar:
        def __init__(self, length, label, file):
            self.length, self.pos = length, 0
            told.append((label, length))

        def update(self, steps):
            self.pos += steps
            told.append(self.pos)

        def render_finish(self):
            told.append("end")

    monkeypatch.setattr(cli.sys.stderr, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(cli.click, "progressbar", Bar)
    bars = Bars()
    for what, done, total in [("files", 1, 2), ("files", 2, 2), ("pages", 1, 1), ("pages", 5, 1)]:
        bars(what, done, total)
    bars.close()
    assert told == [("files", 2), 1, 2, "end", ("pages", 1), 1, 1, "end"]


def test_sample_writes_its_own_caseload_and_only_into_a_new_folder(tmp_path):
    words = ["sample", "--people", "4", "--months", "3", "--seed", "7", "--out", str(tmp_path / "made")]
    assert CliRunner().invoke(main, words).exit_code == errors.DONE
    write_sample(tmp_path / "wanted", people=4, months=3, seed=7)
    made, wanted = (
        {path.relative_to(tmp_path / name): path.read_bytes() for path in (tmp_path / name).rglob("*.csv")}
        for name in ("made", "wanted")
    )
    assert len(made) > 8
    assert made == wanted
    again = CliRunner().invoke(main, [*words[:-4], "--seed", "8", *words[-2:]])
    assert again.exit_code == errors.SettingsUnsound.exit_code
    assert all((tmp_path / "made" / name).read_bytes() == content for name, content in wanted.items())
