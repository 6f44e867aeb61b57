"""From which row of which file a standing record comes: found in the store, which the warehouse need not repeat."""

from collections.abc import Iterable
from pathlib import Path
from types import SimpleNamespace

import duckdb

from pipeline.feeds.columns import FEEDS
from pipeline.feeds.store_layout import accepted_path

# The readings that count, by the key under which the store keeps them.
READINGS = """
    SELECT receipts.file_key, receipts.receipt_number, receipts.source, min(files.file_name) AS file_name
    FROM records.receipts AS receipts
    JOIN quality.files AS files ON files.file_id = receipts.file_id AND files.feed = receipts.feed
    WHERE receipts.feed = $feed AND receipts.standing = 'live'
    GROUP BY ALL
"""
SET_ASIDE = """
    SELECT receipt_number, source_row FROM records.set_aside WHERE feed = $feed AND list_contains($ids, record_id)
"""
FORMER_IDS = "SELECT client_id, old_client_id FROM records.merged_clients"


def name_origins(connection: duckdb.DuckDBPyConnection, store: Path, *, rows: Iterable[SimpleNamespace]) -> None:
    """Give each row (feed, record_id, source) its `file_name` and `source_row`, the heading being row 1.

    Both stay None where the store no longer holds the file, which is for `verify` to tell.
    """
    former: dict[str, list[str]] = {}
    for client_id, old in connection.execute(FORMER_IDS).fetchall():
        former.setdefault(client_id, []).append(old)
    by_feed: dict[str, list[SimpleNamespace]] = {}
    for row in rows:
        row.file_name = row.source_row = None
        by_feed.setdefault(row.feed, []).append(row)
    for feed, named in by_feed.items():
        ids = {row.record_id: _ids_of(row, former) for row in named}
        found = _standing(connection, store, feed=feed, ids=sorted({each for some in ids.values() for each in some}))
        for row in named:
            # Its own id before a former one; of one id and one sender a single row stands.
            places = [found.get((row.source, each)) for each in ids[row.record_id]]
            row.file_name, row.source_row = next((place for place in places if place), (None, None))


def _ids_of(row: SimpleNamespace, former: dict[str, list[str]]) -> list[str]:
    """The ids that a record can have in its own files: two sources may use one, and a person may have had others."""
    plain = row.record_id.removesuffix(f"@{row.source}")
    return (
        [row.record_id, plain, *sorted(former.get(row.record_id, []))]
        if row.feed == "clients"
        else [row.record_id, plain]
    )


def _standing(
    connection: duckdb.DuckDBPyConnection, store: Path, *, feed: str, ids: list[str]
) -> dict[tuple[str, str], tuple[str, int]]:
    """(source, id in the file) to (file, row): of all accepted rows with these ids, those that nothing set aside."""
    readings = {key: tuple(told) for key, *told in connection.execute(READINGS, {"feed": feed}).fetchall()}
    aside = set(connection.execute(SET_ASIDE, {"feed": feed, "ids": ids}).fetchall())
    paths = [str(path) for key in sorted(readings) if (path := accepted_path(store, feed=feed, key=key)).is_file()]
    if not paths:
        return {}
    # A connection of its own: the warehouse's can read no file.
    with duckdb.connect() as reader:
        accepted = reader.execute(
            f"SELECT file_key, source_row, {FEEDS[feed].id_column} FROM read_parquet($paths)"
            f" WHERE list_contains($ids, {FEEDS[feed].id_column}) ORDER BY ALL",
            {"paths": paths, "ids": ids},
        ).fetchall()
    found = {}
    for key, source_row, record_id in accepted:
        receipt_number, source, file_name = readings[key]
        if (receipt_number, source_row) not in aside:
            found[source, record_id] = (file_name, source_row)
    return found
