"""Writing the store's records: the receipt that commits a reading, arrivals, and refusals that are remembered."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from pipeline import __version__, files, instants
from pipeline.feeds.store_layout import (
    RECEIPT_VERSION,
    Arrival,
    Receipt,
    Refusal,
    accepted_path,
    arrival_path,
    file_key,
    held_path,
    receipt_path,
    refusal_path,
)
from pipeline.feeds.store_layout import read_arrivals as _read_arrivals
from pipeline.feeds.store_layout import read_receipts as _read_receipts
from pipeline.feeds.store_layout import read_refusals as _read_refusals
from pipeline.intake.file_facts import sha256_of
from pipeline.intake.mapping import Plan
from pipeline.intake.outcome import Refused
from pipeline.intake.reading import Staged
from pipeline.settings import Workspace


def read_receipts(workspace: Workspace) -> list[Receipt]:
    """All receipts of a workspace, oldest first."""
    return _read_receipts(workspace.store)


def read_arrivals(workspace: Workspace) -> list[Arrival]:
    """All arrivals of a workspace, oldest first."""
    return _read_arrivals(workspace.store)


def read_refusals(workspace: Workspace) -> list[Refusal]:
    """All refusals of a workspace, oldest first."""
    return _read_refusals(workspace.store)


@dataclass(frozen=True)
class Identified:
    """What is known of a file before it is read."""

    file_id: str
    file_name: str
    bytes: int
    mtime_ns: int
    source: str
    feed: str
    contract: str

    @property
    def key(self) -> tuple[str, str, str]:
        return (self.file_id, self.feed, self.contract)


@dataclass
class Books:
    """What the store remembers, as it stands now; the only writer of its JSON during an intake."""

    workspace: Workspace
    received_at: datetime
    receipts: dict[tuple[str, str, str], Receipt] = field(default_factory=dict)
    refusals: dict[tuple[str, str, str], Refusal] = field(default_factory=dict)
    arrivals: list[Arrival] = field(default_factory=list)

    @classmethod
    def open(cls, workspace: Workspace, *, received_at: datetime) -> Books:
        """The books of a workspace, whose store may not exist yet."""
        return cls(
            workspace=workspace,
            received_at=received_at,
            receipts={(r.file_id, r.feed, r.contract): r for r in read_receipts(workspace)},
            refusals={(r.file_id, r.feed, r.contract): r for r in read_refusals(workspace)},
            arrivals=read_arrivals(workspace),
        )

    def commit(self, file: Identified, *, plan: Plan, staged: Staged, dropped: tuple[str, ...] = ()) -> Receipt:
        """Move a staged reading into the store; the receipt comes last and is the commit.

        `dropped` are headings that an earlier reading of the same file left out.
        """
        store, key, tally = self.workspace.store, file_key(file.file_id, file.contract), staged.tally
        if tally.rows_read != tally.accepted + tally.held:
            raise AssertionError(f"{tally.rows_read} rows read are not {tally.accepted} accepted + {tally.held} held")
        receipt = Receipt(
            receipt_version=RECEIPT_VERSION,
            file_id=file.file_id,
            file_name=file.file_name,
            bytes=file.bytes,
            source=file.source,
            feed=file.feed,
            received_at=instants.iso(self.received_at),
            contract=file.contract,
            software_version=__version__,
            rows_read=tally.rows_read,
            accepted=tally.accepted,
            held=tally.held,
            held_by_code=dict(sorted(tally.held_by_code.items())),
            columns_used=plan.columns_told,
            columns_dropped=dropped or tuple(heading for heading, _ in plan.dropped),
            first_on=staged.first_on,
            last_on=staged.last_on,
            accepted_sha256=sha256_of(staged.accepted),
            held_sha256=sha256_of(staged.held),
            age_capped=tally.age_capped,
            codes_noted=dict(sorted(tally.codes_noted.items())),
        )
        targets = (
            (staged.accepted, accepted_path(store, feed=file.feed, key=key)),
            (staged.held, held_path(store, feed=file.feed, key=key)),
        )
        for unfinished, finished in targets:
            files.make_dir(finished.parent)
            files.replace(unfinished, finished)
        files.make_dir(store / "receipts")
        files.write_atomically(receipt_path(store, key), receipt.sealed().to_json())
        self.receipts[file.key] = receipt
        return receipt

    def note_arrival(self, file: Identified) -> None:
        """Record a sighting of a file that the store holds, unless it is the one that was seen last time.

        A file that goes on lying in the inbox is seen once; the same bytes under another name, with another time of
        change, or under a contract that was left and has come back, have arrived again.
        """
        same = [seen for seen in self.arrivals if (seen.file_id, seen.feed) == (file.file_id, file.feed)]
        sightings = {(seen.contract, seen.file_name, seen.mtime_ns) for seen in same}
        if same and same[-1].contract == file.contract and (file.contract, file.file_name, file.mtime_ns) in sightings:
            return
        arrival = Arrival(
            file_id=file.file_id,
            feed=file.feed,
            source=file.source,
            contract=file.contract,
            file_name=file.file_name,
            mtime_ns=file.mtime_ns,
            received_at=instants.iso(self.received_at),
        )
        path = arrival_path(self.workspace.store, arrival)
        files.make_dir(path.parent)
        files.write_atomically(path, arrival.to_json())
        self.arrivals.append(arrival)

    def remember(self, file: Identified, refused: Refused) -> Refusal:
        """Keep a refusal, so that the next run repeats it without reading the file."""
        refusal = Refusal(
            file_id=file.file_id,
            file_name=file.file_name,
            source=file.source,
            feed=file.feed,
            contract=file.contract,
            code=refused.code,
            received_at=instants.iso(self.received_at),
            columns=refused.columns,
            row=refused.row,
            rows_read=refused.rows_read,
            held=refused.held,
            held_by_code=refused.held_by_code,
        )
        files.make_dir(self.workspace.store / "refused")
        return self._keep(file.key, refusal)

    def remember_what_lies_there(self, lying: set[tuple[str, str, str]]) -> None:
        """Note which refused files have left the inbox and which are back; `lying` are the keys of all that is there.

        The moment is kept and nothing is deleted, so that an audit of the weeks between still shows the refusal.
        """
        now = instants.iso(self.received_at)
        for key, refusal in sorted(self.refusals.items()):
            if key in lying and refusal.gone_at is not None:
                self._keep(key, refusal.back(now))
            elif key not in lying and refusal.since(self.received_at) not in (None, now):
                self._keep(key, refusal.gone(now))

    def _keep(self, key: tuple[str, str, str], refusal: Refusal) -> Refusal:
        files.write_atomically(refusal_path(self.workspace.store, refusal), refusal.sealed().to_json())
        self.refusals[key] = refusal
        return refusal
