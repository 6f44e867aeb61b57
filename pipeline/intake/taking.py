"""Take in what lies in the inbox: each file by itself, each once."""

from __future__ import annotations

from datetime import datetime
from functools import partial
from typing import Any

from pipeline import files, instants
from pipeline.feeds.columns import FEEDS
from pipeline.feeds.store_layout import Receipt, Refusal
from pipeline.intake.csv_stream import read_header, stream
from pipeline.intake.discovery import NO_SOURCE, Found, find_files
from pipeline.intake.file_facts import Stamp, check_text, sha256_of, stamp
from pipeline.intake.identity import identity_headings
from pipeline.intake.judging import open_parser
from pipeline.intake.mapping import PLAIN, Plan, contract_of, plan_for
from pipeline.intake.outcome import Changing, FileOutcome, IntakeOutcome, Refused
from pipeline.intake.reading import Staged, stage
from pipeline.intake.receipts import Books, Identified
from pipeline.intake.rejudging import CODE, Kept, stage_again
from pipeline.log import Progress, RunLog
from pipeline.settings import Source, Workspace


def take_in(
    workspace: Workspace, policy: Any, *, received_at: datetime, progress: Progress, log: RunLog
) -> IntakeOutcome:
    """Take in every file of the inbox and return what became of each.

    `policy` gives scale_items(); `received_at` is one aware instant for the whole call. Files are only read; the store
    gains Parquet, receipts, arrivals and refusals. The caller holds the workspace's lock.
    """
    staging = workspace.store / ".staging"
    # Whatever lies there was left by a run that did not finish, and the lock says that no other run is at it.
    files.remove_tree(staging)
    files.make_dir(staging)
    books = Books.open(workspace, received_at=received_at)
    found = find_files(workspace)
    outcomes = []
    with open_parser(staging) as con:
        intake = _Intake(con, workspace=workspace, scales=policy.scale_items(), books=books, log=log)
        for place, file in enumerate(found):
            progress("Taking in files", place, len(found))
            outcomes.append(intake.one(file))
        outcomes += intake.again()
    books.remember_what_lies_there(intake.lying)
    progress("Taking in files", len(found), len(found))
    files.remove_tree(staging)
    return IntakeOutcome(files=tuple(outcomes))


class _Intake:
    def __init__(self, con: Any, *, workspace: Workspace, scales: Any, books: Books, log: RunLog) -> None:
        self._con = con
        self._workspace = workspace
        self._scales = scales
        self._books = books
        self._log = log
        self._received_local = instants.local(books.received_at, workspace.time_zone)
        self._file_ids: set[str] = set()
        # The key of every file that was found, whatever became of it.
        self.lying: set[tuple[str, str, str]] = set()

    def one(self, found: Found) -> FileOutcome:
        """What becomes of one file; an export that is wrong ends here and never stops the others."""
        try:
            outcome = self._look(found)
        except Changing:
            outcome = FileOutcome(found.name, found.feed, found.source_name, "changing")
        self._note(outcome)
        return outcome

    def again(self) -> list[FileOutcome]:
        """Judge rows held for an unknown scale again, of files that have left the inbox."""
        newest = {(receipt.file_id, receipt.feed): receipt for receipt in self._books.receipts.values()}
        outcomes = []
        for receipt in newest.values():
            if receipt.held_by_code.get(CODE) and receipt.file_id not in self._file_ids:
                outcomes += self._judge_again(receipt)
        return outcomes

    def _judge_again(self, receipt: Receipt) -> list[FileOutcome]:
        named = [s for s in self._workspace.sources if (s.name, s.feed) == (receipt.source, receipt.feed)]
        source = next((s for s in named if s.fits(receipt.file_name)), None)
        contract = self._contract(receipt.feed, source)
        is_read = (receipt.file_id, receipt.feed, contract) in self._books.receipts
        if is_read or (source is None and receipt.source != NO_SOURCE):
            return []
        kept = Kept(receipt, source or PLAIN, contract)
        done = stage_again(
            self._con, kept, scales=self._scales, zone=self._workspace.time_zone, store=self._workspace.store,
            staging=self._workspace.store / ".staging", received_local=self._received_local,
        )  # fmt: skip
        if done is None:
            return []
        file = Identified(
            file_id=receipt.file_id, file_name=receipt.file_name, bytes=receipt.bytes, mtime_ns=0,
            source=receipt.source, feed=receipt.feed, contract=contract,
        )  # fmt: skip
        again = self._books.commit(file, plan=done[0], staged=done[1], dropped=receipt.columns_dropped)
        outcome = _of_receipt(again, receipt.file_name, "taken")
        self._note(outcome)
        return [outcome]

    def _look(self, found: Found) -> FileOutcome:
        before = stamp(found.path)
        file = self._identify(found, before)
        self._file_ids.add(file.file_id)
        self.lying.add(file.key)
        if receipt := self._books.receipts.get(file.key):
            self._books.note_arrival(file)
            return _of_receipt(receipt, found.name, "known")
        refusal = self._books.refusals.get(file.key)
        if refusal is None:
            try:
                return self._take(found, file, before)
            except Refused as refused:
                if stamp(found.path) != before:
                    raise Changing from None
                refusal = self._books.remember(file, refused)
        return _of_refusal(refusal, found.name)

    def _identify(self, found: Found, before: Stamp) -> Identified:
        return Identified(
            file_id=sha256_of(found.path),
            file_name=found.name,
            bytes=before.size,
            mtime_ns=before.mtime_ns,
            source=found.source_name,
            feed=found.feed or "",
            contract=self._contract(found.feed, found.source) if found.feed else "",
        )

    def _contract(self, feed: str, source: Source | None) -> str:
        return contract_of(FEEDS[feed], source=source, scales=self._scales, zone=self._workspace.time_zone)

    def _take(self, found: Found, file: Identified, before: Stamp) -> FileOutcome:
        if found.feed is None:
            raise Refused("unknown_feed")
        plan, staged = self._read(found, file)
        # Checked last: only now is it known that the bytes that were summed are the bytes that were read.
        if stamp(found.path) != before:
            raise Changing
        receipt = self._books.commit(file, plan=plan, staged=staged)
        self._books.note_arrival(file)
        return _of_receipt(receipt, found.name, "taken")

    def _read(self, found: Found, file: Identified) -> tuple[Plan, Staged]:
        check_text(found.path)
        mapped = found.source.columns if found.source else {}
        expected = {column.name for column in FEEDS[file.feed].fixed} | set(mapped)
        header = read_header(found.path, expected=expected)
        if named := identity_headings(header.headings):
            raise Refused("identity_heading", columns=named)
        plan = plan_for(
            file.feed, source=found.source, headings=header.headings, scales=self._scales, contract=file.contract,
            zone=self._workspace.time_zone, file_name=found.name, delimiter=header.delimiter,
        )  # fmt: skip
        staged = stage(
            self._con,
            partial(stream, found.path, header),
            plan,
            file_id=file.file_id,
            received_local=self._received_local,
            staging=self._workspace.store / ".staging",
            held_share_max=self._workspace.held_share_max,
        )
        return plan, staged

    def _note(self, outcome: FileOutcome) -> None:
        self._log.event(
            f"file_{outcome.status}", file=outcome.file_name, feed=outcome.feed, source=outcome.source,
            code=outcome.code, columns=";".join(outcome.columns), row=outcome.row, rows_read=outcome.rows_read,
            accepted=outcome.accepted, held=outcome.held,
        )  # fmt: skip
        if outcome.status != "known":
            for code, rows in sorted(outcome.held_by_code.items()):
                self._log.event("rows_held", file=outcome.file_name, code=code, rows=rows)


def _of_receipt(receipt: Receipt, file_name: str, status: str) -> FileOutcome:
    return FileOutcome(
        file_name, receipt.feed, receipt.source, status, rows_read=receipt.rows_read, accepted=receipt.accepted,
        held=receipt.held, held_by_code=dict(receipt.held_by_code),
    )  # fmt: skip


def _of_refusal(refusal: Refusal, file_name: str) -> FileOutcome:
    status = "too_many_held" if refusal.code == "too_many_held" else "refused"
    return FileOutcome(
        file_name, refusal.feed or None, refusal.source, status, code=refusal.code, rows_read=refusal.rows_read,
        held=refusal.held, held_by_code=dict(refusal.held_by_code or {}), columns=refusal.columns, row=refusal.row,
    )  # fmt: skip
