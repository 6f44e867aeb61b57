"""The commands: parse, call one job, print. Data goes to stdout, talk to stderr, and only here is the clock read."""

import io
import os
import sys
import traceback
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, date, datetime
from functools import partial
from pathlib import Path
from typing import Any

import click

from pipeline import __version__, errors, instants
from pipeline.bars import Bars


class Day(click.ParamType):
    """A calendar day as YYYY-MM-DD."""

    name = "day"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        try:
            return value if isinstance(value, date) else date.fromisoformat(value)
        except ValueError:
            self.fail("a day is written like 2026-03-02", param, ctx)


class Instant(click.ParamType):
    """A moment as text; it stays text until the workspace says which time zone it is in."""

    name = "instant"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        try:
            instants.parse_instant(value, UTC)
        except ValueError:
            self.fail("a moment is written like 2026-03-02, 2026-03-02T06:00 or 2026-03-02T06:00:00Z", param, ctx)
        return value


class Commands(click.Group):
    """A group that turns every error into its exit code, in this one place."""

    def main(self, *args: Any, **extra: Any) -> None:
        extra["standalone_mode"] = False
        try:
            code = super().main(*args, **extra)
        except click.ClickException as error:
            error.show()
            code = errors.TYPED_WRONGLY
        except (click.Abort, KeyboardInterrupt):
            say("Interrupted. What was published before is untouched; run again to go on.")
            code = errors.INTERRUPTED
        except errors.CaseroundError as error:
            say(f"Stopped: {error}")
            code = error.exit_code
        except BrokenPipeError:
            # The reader of our output, `head` for one, has seen enough; what is still to be flushed goes nowhere.
            with suppress(io.UnsupportedOperation):
                os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            code = errors.DONE
        except Exception as error:
            say(_where(error))
            code = errors.BUG
        sys.exit(code if isinstance(code, int) else errors.DONE)


def _where(error: Exception) -> str:
    """Where a bug struck. The error's own words may quote a cell, so they are left out."""
    frames = traceback.extract_tb(error.__traceback__)
    trail = " < ".join(f"{Path(frame.filename).name}:{frame.lineno} {frame.name}" for frame in reversed(frames[-6:]))
    return (
        f"This is a bug: {type(error).__name__} at {trail}. What was published before is untouched. "
        "Report this line; it holds no data."
    )


def say(message: str) -> None:
    """Talk goes to stderr, so that stdout can be piped."""
    click.echo(message, err=True)


def _clock() -> datetime:
    return datetime.now(UTC)


def _options(*names: str) -> Callable[[Callable], Callable]:
    """The named options, in one wording for all commands that take them."""
    known = {
        "workspace": click.option(
            "--workspace", type=click.Path(path_type=Path), default=Path(), help="The workspace folder; default: here."
        ),
        "policy": click.option(
            "--policy",
            type=click.Path(path_type=Path, exists=True, file_okay=False),
            help="Policy overrides to use instead of the workspace's policy/.",
        ),
        "received-at": click.option(
            "--received-at", type=Instant(), help="When the files of this call were received; default: now."
        ),
        "known-at": click.option("--known-at", type=Instant(), help="Look with what had been received by then."),
        "as-of": click.option("--as-of", type=Day(), help="The day the caseload is looked at."),
        "format": click.option(
            "--format", "form", type=click.Choice(["table", "csv", "json"]), default="table", help="How to print rows."
        ),
    }

    def add(command: Callable) -> Callable:
        for name in reversed(names):
            command = known[name](command)
        return command

    return add


def _asked(workspace: Path, **options: Any) -> Any:
    from pipeline.jobs import Asked

    return Asked(root=workspace.absolute(), **options)


def _outside() -> Any:
    from pipeline.jobs import Outside

    bars = Bars()
    click.get_current_context().call_on_close(bars.close)
    return Outside(clock=_clock, progress=bars, say=say)


def _finish(done: Any) -> int:
    if done.index is not None:
        click.echo(str(done.index))
    return done.exit_code


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="caseround")
def main() -> None:
    """Weekly review of a caseload of people at risk of pressure injury.

    Flags are for a qualified clinician to consider; local policy and licensed practice decide. Not an alarm system.
    """


@main.command()
@click.option(
    "--workspace",
    type=click.Path(path_type=Path),
    default=Path("caseround-demo"),
    help="Where to put it; default: ./caseround-demo.",
)
def demo(workspace: Path) -> int:
    """Try everything on an invented caseload."""
    from pipeline import jobs

    return _finish(jobs.demo(_asked(workspace), _outside()))


@main.command()
@click.option("--people", type=click.IntRange(1), default=240, show_default=True, help="People on it at a time.")
@click.option("--months", type=click.IntRange(1), default=18, show_default=True, help="How long it is followed.")
@click.option("--seed", type=int, default=2026, show_default=True, help="The same seed gives the same bytes.")
@click.option(
    "--format", "form", type=click.Choice(["csv", "jsonl", "parquet"]), default="csv", show_default=True,
    help="Of the exports.",
)  # fmt: skip
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), required=True, help="A folder that is new.")
def sample(people: int, months: int, seed: int, form: str, out: Path) -> None:
    """Write the exports of an invented caseload of any size."""
    from pipeline import jobs

    jobs.sample(out.absolute(), people=people, months=months, seed=seed, form=form, outside=_outside())


@main.command()
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
def init(folder: Path) -> None:
    """Make a new workspace in a folder."""
    from pipeline import jobs

    jobs.init(folder.absolute(), _outside())


@main.command()
@_options("workspace", "received-at", "as-of", "known-at", "policy")
def run(**options: Any) -> int:
    """Intake, review and report: what a scheduler calls."""
    from pipeline import jobs

    return _finish(jobs.run(_asked(**options), _outside()))


@main.command()
@_options("workspace", "received-at", "policy")
def intake(**options: Any) -> int:
    """Take new exports from inbox/ into the store."""
    from pipeline import jobs

    return _finish(jobs.intake(_asked(**options), _outside()))


@main.command()
@_options("workspace", "as-of", "known-at", "policy")
def review(**options: Any) -> int:
    """Build the warehouse, for today or a past day."""
    from pipeline import jobs

    return _finish(jobs.review(_asked(**options), _outside()))


@main.command()
@_options("workspace", "policy")
@click.option("--client", "clients", multiple=True, help="Write the sheet of this person too; may be said again.")
def report(clients: tuple[str, ...], **options: Any) -> int:
    """Write the pages of the warehouse."""
    from pipeline import jobs

    return _finish(jobs.report(_asked(**options), _outside(), clients=clients))


@main.command()
@_options("workspace", "format")
@click.option("--feed", help="Only rows of this feed.")
@click.option("--code", help="Only rows held for this reason.")
@click.option("--file", help="Only rows of this file, by its name or its id.")
@click.option(
    "--with-values",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Also write the rows as they were received to this file, for your eyes only.",
)
def held(workspace: Path, form: str, feed: str | None, code: str | None, file: str | None, with_values: Path | None):
    """List the rows that wait for a correction."""
    from pipeline import jobs, tables, waiting

    if with_values is not None and not with_values.absolute().parent.is_dir():
        raise click.BadParameter("the folder of that file does not exist", param_hint="--with-values")
    wanted = waiting.Wanted(feed=feed, code=code, file=file)
    rows = jobs.held(_asked(workspace), _outside(), wanted=wanted, values_to=with_values)
    click.echo(tables.as_text(rows, form=form), nl=False)


@main.command()
@click.argument("client_id", metavar="CLIENT")
@_options("workspace")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to answer.")
def explain(client_id: str, workspace: Path, form: str) -> None:
    """Say why a person stands where they stand."""
    from pipeline import jobs

    click.echo(jobs.explain(_asked(workspace), client_id=client_id, form=form), nl=False)


@main.command()
@click.argument("sql", required=False)
@_options("workspace")
@click.option("--file", type=click.File(encoding="utf-8", errors="replace"), help="Read the SELECT here; - is stdin.")
@click.option(
    "--format", "form", type=click.Choice(["table", "csv", "json", "parquet"]), default="table", help="How to write."
)
@click.option("--out", type=click.Path(path_type=Path), help="Write to this file instead; parquet needs it.")
@click.option("--seconds", type=click.IntRange(1, 3600), default=60, help="Give up after so long; default: 60.")
def query(workspace: Path, sql: str | None, file: Any, form: str, out: Path | None, seconds: int) -> None:
    """Ask the warehouse with one SELECT; it can only read."""
    if (sql is None) == (file is None):
        raise click.UsageError("give one SELECT, either as text or with --file")
    from pipeline import asking, jobs

    text = sql if sql is not None else file.read()
    question = asking.Question(text, form=form, out=out, limits=asking.Limits(seconds=seconds))
    jobs.query(_asked(workspace), _outside(), question=question, write=partial(click.echo, nl=False))


@main.command()
@_options("format")
@click.option("--workspace", hidden=True, type=click.Path(), help="Accepted so that every command takes it.")
def relations(form: str, workspace: str | None) -> None:
    """List the relations of the warehouse."""
    from pipeline import jobs, tables

    click.echo(tables.as_text(jobs.relations(), form=form), nl=False)


@main.command()
@_options("workspace")
def verify(workspace: Path) -> int:
    """Check that all is as it was published."""
    from pipeline import jobs

    return _finish(jobs.verify(_asked(workspace), _outside()))
