"""One function for each command, and the only place where the steps meet."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from pipeline import asking, errors, files, instants, lock, resources, run_record, waiting, warehouse
from pipeline import demo as demonstration
from pipeline import verify as verification
from pipeline.errors import NoWarehouse, SettingsUnsound
from pipeline.feeds.store_layout import read_arrivals, read_receipts, roll_call
from pipeline.intake import IntakeOutcome, take_in
from pipeline.log import Progress, RunLog, no_progress
from pipeline.policy import Policy
from pipeline.policy import load as load_policy
from pipeline.report import explain as explanation
from pipeline.report import render
from pipeline.review.engine import build, state_columns
from pipeline.review.graph import load_relations
from pipeline.settings import Workspace, load_workspace, write_settings
from pipeline.tables import Table


@dataclass(frozen=True)
class Outside:
    """What only the command line has: the time, a place to show progress, and an ear."""

    clock: Callable[[], datetime]
    progress: Progress
    say: Callable[[str], None]


@dataclass(frozen=True)
class Asked:
    """What the person typed: instants are text, because only the workspace knows the time zone that they are in."""

    root: Path
    policy: Path | None = None
    received_at: str | None = None
    known_at: str | None = None
    as_of: date | None = None


@dataclass(frozen=True)
class Done:
    """How a command ended: its exit code, and the page to open if it made one."""

    exit_code: int
    index: Path | None = None


@dataclass(frozen=True)
class Desk:
    """A workspace that is held by this run, with all that its steps need."""

    workspace: Workspace
    policy: Policy
    asked: Asked
    outside: Outside
    log: RunLog
    record: run_record.RunRecord
    exits: list[int]


def init(root: Path, outside: Outside) -> None:
    """Make a workspace; whatever is there already stays as it is."""
    files.make_dir(root / "inbox")
    made = write_settings(root)
    outside.say(f"{root} is ready: {'wrote' if made else 'kept the existing'} caseround.toml. Put exports into inbox/.")


def sample(out: Path, *, people: int, months: int, seed: int, form: str, outside: Outside) -> None:
    """Write an invented caseload into a new folder; raises SettingsUnsound when there is something in it."""
    from pipeline.sample import write_sample

    if out.is_dir() and any(out.iterdir()):
        raise SettingsUnsound(
            what=f"{out} is not empty.",
            done="Nothing was written: invented people must never mix with a service's own.",
            todo="Name a new folder with --out.",
        )
    made = write_sample(out, people=people, months=months, seed=seed, format=form, progress=outside.progress)
    size = f"{len(made.drops)} drops: {sum(made.rows.values()):,} rows, {made.faults} planted faults"
    outside.say(f"{made.people} invented people in {size}. They lie in {out}.")


def demo(asked: Asked, outside: Outside) -> Done:
    """Take in the sample caseload week by week, then review and show its last week.

    Faults were planted in it to show what is held and refused, so unlike in `run` they are no reason to end badly.
    """
    demonstration.prepare(asked.root)
    with _at_desk("demo", asked, outside) as desk:
        for received_at, which, many in demonstration.weekly_drops(asked.root):
            outcome = _take_in(desk, received_at, progress=no_progress)
            outside.progress("weekly drops", which, many)
        _say_what_came(desk, outcome)
        _review(desk, known_at=received_at)
        desk.exits.clear()
        return _end(desk, _report(desk))


def run(asked: Asked, outside: Outside) -> Done:
    """Intake, review, report. Safe to repeat and safe to kill."""
    with _at_desk("run", asked, outside) as desk:
        received_at = _received_at(desk)
        _say_what_came(desk, _take_in(desk, received_at, progress=outside.progress))
        _review(desk, known_at=received_at)
        _note_late_feeds(desk)
        return _end(desk, _report(desk))


def intake(asked: Asked, outside: Outside) -> Done:
    """Take in what is new in the inbox."""
    with _at_desk("intake", asked, outside) as desk:
        _say_what_came(desk, _take_in(desk, _received_at(desk), progress=outside.progress))
        return _end(desk)


def review(asked: Asked, outside: Outside) -> Done:
    """Build, check and publish the warehouse for one as-of day and one known-at instant."""
    with _at_desk("review", asked, outside) as desk:
        _review(desk, known_at=None)
        return _end(desk)


def report(asked: Asked, outside: Outside, *, clients: tuple[str, ...] = ()) -> Done:
    """Write the pages of the published warehouse, and the sheets of the people that are named among them."""
    with _at_desk("report", asked, outside, needs_warehouse=True) as desk:
        return _end(desk, _report(desk, clients=clients))


def held(asked: Asked, outside: Outside, *, wanted: waiting.Wanted, values_to: Path | None = None) -> Table:
    """The rows that wait for a correction; their cells only into a file, and only when one is named."""
    workspace = load_workspace(asked.root)
    rows = waiting.waiting_rows(workspace, wanted)
    if values_to is not None:
        written = waiting.write_values(workspace, rows, path=values_to)
        outside.say(
            f"Warning: {values_to} now holds {written} rows as they were received. It is readable by you alone: "
            "keep it so, do not mail it, and delete it when the rows are mended."
        )
    return rows


def explain(asked: Asked, *, client_id: str, form: str) -> str:
    """Why one person stands where they stand, from the published warehouse alone."""
    return explanation(load_workspace(asked.root), client_id, form=form)


def query(asked: Asked, outside: Outside, *, question: asking.Question, write: Callable[[str], None]) -> None:
    """Answer one SELECT from the published warehouse, piece by piece to `write` or into the file that it names."""
    rows = asking.answer(load_workspace(asked.root), question, write=write)
    place = "" if question.out is None else f" written to {question.out}"
    outside.say(f"{rows:,} {'row' if rows == 1 else 'rows'}{place}.")


def relations() -> Table:
    """Every relation that the review makes, with its grain, the question it answers and what it reads."""
    found = load_relations(resources.sql_dir())
    rows = [(name, made.header.grain, made.header.question, ", ".join(made.inputs)) for name, made in found.items()]
    return Table(("relation", "grain", "question", "inputs"), tuple(rows))


def verify(asked: Asked, outside: Outside) -> Done:
    """Compare store, warehouse and pages with the sums they were published with."""
    workspace = load_workspace(asked.root)
    warehouse.require(workspace.warehouse)
    with lock.only_run(workspace):
        found = verification.verify(workspace, progress=outside.progress)
    outside.say(f"All {found.compared} files are as they were published.")
    outside.say(f"Content of the warehouse, equal wherever the same was reviewed: {found.content}")
    return Done(errors.DONE)


@contextmanager
def _at_desk(command: str, asked: Asked, outside: Outside, *, needs_warehouse: bool = False) -> Iterator[Desk]:
    """Everything that can stop a run is looked at before the first byte is written; then the workspace is held."""
    workspace = load_workspace(asked.root)
    policy = load_policy(asked.policy or workspace.policy, state_columns=state_columns())
    if needs_warehouse:
        warehouse.require(workspace.warehouse)
    with lock.only_run(workspace):
        files.make_dir(workspace.logs)
        log = RunLog(workspace.logs / f"{command}.jsonl", outside.clock)
        log.event("command_began", command=command, leftovers=lock.clean(workspace))
        record = run_record.RunRecord(workspace.last_run, command=command, clock=outside.clock, log=log)
        with record.kept() as exits:
            yield Desk(workspace, policy, asked, outside, log, record, exits)


def _take_in(desk: Desk, received_at: datetime, *, progress: Progress) -> IntakeOutcome:
    with desk.record.step("intake") as facts:
        outcome = take_in(desk.workspace, desk.policy, received_at=received_at, progress=progress, log=desk.log)
        facts["received_at"] = instants.iso(received_at)
        facts |= _counts(outcome)
    desk.record.published(**roll_call(desk.workspace.store))
    statuses = {file.status for file in outcome.files}
    desk.exits.extend([errors.FILE_REFUSED] if "refused" in statuses else [])
    desk.exits.extend([errors.TOO_MANY_HELD] if "too_many_held" in statuses else [])
    return outcome


def _review(desk: Desk, *, known_at: datetime | None) -> None:
    zone = desk.workspace.time_zone
    if desk.asked.known_at is not None:
        known_at = instants.parse_instant(desk.asked.known_at, zone)
    known_at = known_at or _newest_receipt(desk.workspace)
    as_of = desk.asked.as_of or instants.local(known_at, zone).date()
    with desk.record.step("review") as facts:
        build(
            desk.workspace, desk.policy, as_of=as_of, known_at=known_at, progress=desk.outside.progress, log=desk.log
        )
        facts |= {"as_of": as_of.isoformat(), "known_at": instants.iso(known_at), **_store_read(desk)}
    desk.record.published(warehouse_sha256=run_record.sha256_of(desk.workspace.warehouse))


def _store_read(desk: Desk) -> dict[str, float]:
    """How many files the store has and how long reading them took: what tells when many small files become a burden."""
    moments = desk.log.moments
    seconds = (moments["store_read"] - moments["step_began"]).total_seconds()
    return {"store_files": len(read_receipts(desk.workspace.store)), "store_read_seconds": round(seconds, 3)}


def _report(desk: Desk, *, clients: tuple[str, ...] = ()) -> Path:
    with desk.record.step("report"):
        index = render(desk.workspace, progress=desk.outside.progress, log=desk.log, clients=clients)
    desk.record.published(index_sha256=run_record.sha256_of(index))
    return index


def _received_at(desk: Desk) -> datetime:
    if desk.asked.received_at is not None:
        return instants.parse_instant(desk.asked.received_at, desk.workspace.time_zone)
    return desk.outside.clock()


def _newest_receipt(workspace: Workspace) -> datetime:
    """When the store last received anything; the clock has no say in what a review could have known."""
    moments = [told.received_at for told in (*read_receipts(workspace.store), *read_arrivals(workspace.store))]
    if not moments:
        raise NoWarehouse(
            what="Nothing has been taken in yet, so there is no moment to look back from.",
            done="Nothing was built.",
            todo="Run `caseround run`, or name a moment with --known-at.",
        )
    return max(instants.parse_instant(moment, UTC) for moment in moments)


def _counts(outcome: IntakeOutcome) -> dict[str, int]:
    statuses = [file.status for file in outcome.files]
    counted = {f"files_{status}": statuses.count(status) for status in sorted(set(statuses))}
    rows = {name: sum(getattr(file, name) for file in outcome.files) for name in ("rows_read", "accepted", "held")}
    return {"files": len(statuses), **counted, **rows}


def _say_what_came(desk: Desk, outcome: IntakeOutcome) -> None:
    counts = _counts(outcome)
    desk.outside.say(
        f"{counts['files']} files in the inbox: {counts['rows_read']} rows, {counts['accepted']} accepted, "
        f"{counts['held']} held. See the held ones with `caseround held`."
    )
    for file in outcome.files:
        # A file that was taken in and held nothing back needs no line of its own.
        if file.status in ("refused", "too_many_held", "changing") or (file.status == "taken" and file.held):
            desk.outside.say(file.message)


def _note_late_feeds(desk: Desk) -> None:
    with warehouse.reading(desk.workspace.warehouse) as con:
        late = con.execute(
            "SELECT feed, days_since, expected_days FROM quality.arrivals WHERE is_late ORDER BY feed"
        ).fetchall()
    for feed, days, expected in late:
        last = "has never come" if days is None else f"last came {days} days ago"
        desk.outside.say(
            f"Late: the {feed} export {last}, expected every {expected} days. The pages say so; ask for it."
        )
    desk.exits.extend([errors.FEED_LATE] if late else [])


def _end(desk: Desk, index: Path | None = None) -> Done:
    desk.exits[:] = sorted(set(desk.exits), key=errors.WORST_FIRST.index)
    return Done(desk.exits[0] if desk.exits else errors.DONE, index)
