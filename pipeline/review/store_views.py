"""What the store held at a known-at instant, as the relations of the schema `store`.

Only files that a receipt names are read, and only after their sums agree: a file that was changed or half written by
something else must stop the review, because every figure after it would look just as sure as before.
"""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from itertools import pairwise
from pathlib import Path

import duckdb

from pipeline import instants
from pipeline.errors import ChecksDisagree
from pipeline.feeds.columns import FEEDS
from pipeline.feeds.store_layout import (
    Arrival,
    Receipt,
    Refusal,
    accepted_path,
    held_path,
    read_arrivals,
    read_receipts,
    read_refusals,
)
from pipeline.settings import Workspace

# Opening a Parquet file costs more than reading a small one, so many small files are read once into a table.
FILES_LEFT_IN_PLACE = 16


@dataclass(frozen=True)
class Store:
    """The store's records, oldest first, whatever their time."""

    receipts: tuple[Receipt, ...]
    arrivals: tuple[Arrival, ...]
    refusals: tuple[Refusal, ...]

    def first_received(self) -> datetime | None:
        """When the first file came in; None while the store is empty."""
        return min((receipt.received for receipt in self.receipts), default=None)


def read_store(workspace: Workspace) -> Store:
    """All receipts, arrivals and refusals of a workspace."""
    return Store(
        receipts=tuple(read_receipts(workspace.store)),
        arrivals=tuple(read_arrivals(workspace.store)),
        refusals=tuple(read_refusals(workspace.store)),
    )


def check_sums(workspace: Workspace, receipts: Iterable[Receipt]) -> None:
    """Raise ChecksDisagree, naming the files, when Parquet in the store is not what its receipt says."""
    changed = []
    for receipt in receipts:
        for path, wanted in _parquet_sums(workspace.store, receipt):
            if not path.is_file() or _sha256(path) != wanted:
                changed.append(path.relative_to(workspace.store).as_posix())
    if changed:
        raise ChecksDisagree(
            what=f"Files in the store are missing or not as their receipts say: {', '.join(changed)}.",
            size=f"{len(changed)} files.",
            done="Nothing was published; the warehouse is as it was.",
            todo="Restore them from a backup, or remove their receipts and take the exports in again.",
        )


def _parquet_sums(store: Path, receipt: Receipt) -> tuple[tuple[Path, str], ...]:
    return (
        (accepted_path(store, feed=receipt.feed, key=receipt.file_key), receipt.accepted_sha256),
        (held_path(store, feed=receipt.feed, key=receipt.file_key), receipt.held_sha256),
    )


def _sha256(path: Path) -> str:
    with path.open("rb") as content:
        return hashlib.file_digest(content, "sha256").hexdigest()


def load_store(con: duckdb.DuckDBPyConnection, workspace: Workspace, store: Store, *, known_at: datetime) -> None:
    """Fill `store.*`, which must exist empty, with what had been received by `known_at` (aware, UTC)."""
    receipts = [receipt for receipt in store.receipts if receipt.received <= known_at]
    zone = workspace.time_zone
    arrivals = [arrival for arrival in store.arrivals if _instant(arrival.received_at) <= known_at]
    _insert(con, "files", _file_rows(workspace, receipts, arrivals))
    _insert(con, "codes_noted", [
        (receipt.file_key, *told.split(":"), rows)
        for receipt in receipts for told, rows in sorted(receipt.codes_noted.items())
    ])  # fmt: skip
    _insert(con, "arrivals", [
        (arrival.feed, arrival.source, arrival.file_key, *_received(arrival.received_at, zone)) for arrival in arrivals
    ])  # fmt: skip
    _insert(con, "refused", [
        (refusal.file_id, refusal.file_name, refusal.source, refusal.feed, refusal.code, _received(since, zone)[0])
        for refusal in store.refusals if (since := refusal.since(known_at))
    ])  # fmt: skip
    _insert(con, "feeds", [
        (feed.name, workspace.expected_days.get(feed.name), feed.id_column) for feed in FEEDS.values()
    ])  # fmt: skip
    for feed in FEEDS:
        paths = [
            accepted_path(workspace.store, feed=feed, key=receipt.file_key)
            for receipt in receipts
            if receipt.feed == feed and receipt.accepted
        ]
        _load_feed(con, feed, paths)
    _load_held(con, workspace, receipts)


def _file_rows(workspace: Workspace, receipts: list[Receipt], arrivals: list[Arrival]) -> list[tuple]:
    delivers = {(source.name, source.feed): source.delivers for source in workspace.sources}
    replaced = _replaced(receipts, arrivals)
    return [
        (
            receipt.file_key, receipt.file_id, receipt.file_name, receipt.source, receipt.feed,
            *_received(receipt.received_at, workspace.time_zone), receipt.rows_read, receipt.accepted, receipt.held,
            delivers.get((receipt.source, receipt.feed), "changes"), replaced.get(receipt.file_key),
            None, _day(receipt.first_on), _day(receipt.last_on),
        )
        for receipt in sorted(receipts, key=lambda reading: (reading.received, reading.file_key))
    ]  # fmt: skip


def _replaced(receipts: list[Receipt], arrivals: list[Arrival]) -> dict[str, datetime]:
    """When each reading gave way to another reading of the same bytes, for those that did.

    The reading that was last seen stands: bytes that come again under an earlier contract bring that reading back.
    """
    sightings: dict[tuple[str, str], list[tuple[datetime, str]]] = {}
    for seen in (*receipts, *arrivals):
        moment = (_naive(_instant(seen.received_at)), seen.file_key)
        sightings.setdefault((seen.file_id, seen.feed), []).append(moment)
    replaced: dict[str, datetime] = {}
    for moments in sightings.values():
        newest_first = sorted(moments, reverse=True)
        for (later, _), (_, key) in pairwise(newest_first):
            if key != newest_first[0][1]:
                replaced.setdefault(key, later)
    return replaced


def _instant(text: str) -> datetime:
    return datetime.fromisoformat(text)


def _naive(moment: datetime) -> datetime:
    return moment.astimezone(UTC).replace(tzinfo=None)


def _received(text: str, zone: str) -> tuple[datetime, datetime]:
    return _naive(_instant(text)), instants.local(_instant(text), zone)


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _insert(con: duckdb.DuckDBPyConnection, table: str, rows: list[tuple]) -> None:
    if not rows:
        return
    # By column: thousands of files are normal, and one INSERT for each of them is not fast.
    columns = [list(values) for values in zip(*rows, strict=True)]
    lists = ", ".join("unnest(?)" for _ in columns)
    con.execute(f"INSERT INTO store.{table} SELECT {lists}", columns)


def _load_feed(con: duckdb.DuckDBPyConnection, feed: str, paths: list[Path]) -> None:
    if not paths:
        return
    con.execute(f"DROP TABLE store.{feed}")
    kind = "VIEW" if len(paths) <= FILES_LEFT_IN_PLACE else "TABLE"
    con.execute(f"CREATE {kind} store.{feed} AS SELECT * FROM read_parquet({_list(paths)})")


def _list(paths: list[Path]) -> str:
    return "[" + ", ".join("'" + str(path).replace("'", "''") + "'" for path in paths) + "]"


def _load_held(con: duckdb.DuckDBPyConnection, workspace: Workspace, receipts: list[Receipt]) -> None:
    held = [receipt for receipt in receipts if receipt.held]
    if not held:
        return
    paths = [held_path(workspace.store, feed=receipt.feed, key=receipt.file_key) for receipt in held]
    zone = workspace.time_zone.replace("'", "''")
    # A held row was never parsed, so its time of change is read from the kept text, with or without an offset.
    con.execute(f"""
        INSERT INTO store.held
        SELECT files.file_key, files.feed, files.source, held.source_row, held.record_id, held.client_id, held.codes,
            held.columns,
            CASE WHEN regexp_matches(held.updated_at, '(Z|[+-][0-9]{{2}}:?[0-9]{{2}})$')
                AND length(held.updated_at) > 10
                THEN timezone('{zone}', TRY_CAST(held.updated_at AS TIMESTAMPTZ))
                ELSE TRY_CAST(held.updated_at AS TIMESTAMP) END,
            files.received_at
        FROM (
            SELECT *, json_extract_string(raw, '$.updated_at') AS updated_at,
                regexp_extract(filename, '([^/\\\\]+)[.]parquet$', 1) AS file_key
            FROM read_parquet({_list(paths)}, filename = true)
        ) AS held
        JOIN store.files ON files.file_key = held.file_key
        ORDER BY files.file_key, held.source_row
    """)


def fingerprint(con: duckdb.DuckDBPyConnection) -> str:
    """sha256 over what has been received, the same however the rows were split over files and in whatever order.

    One line for each feed, source and instant with the number of rows and the sum of their content keys.
    """
    lines = []
    for feed in FEEDS:
        rows = con.execute(f"""
            SELECT files.source, files.received_at, files.superseded_at, files.withdrawn_at, count(*),
                sum(CAST(CAST('0x' || rows.content_key AS UBIGINT) AS HUGEINT))
            FROM store.{feed} AS rows JOIN store.files ON files.file_key = rows.file_key
            GROUP BY ALL ORDER BY ALL
        """).fetchall()
        lines += [f"{feed} " + " ".join(str(part) for part in row) for row in rows]
    held = con.execute("""
        SELECT feed, source, received_at, count(*),
            sum(CAST(md5_number_lower(concat_ws(chr(31), record_id, client_id, codes, columns)) AS HUGEINT))
        FROM store.held GROUP BY ALL ORDER BY ALL
    """).fetchall()
    lines += ["held " + " ".join(str(part) for part in row) for row in held]
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()
