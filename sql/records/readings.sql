-- question: Which accepted row is which version of its record?
-- grain:    one row per accepted row that a receipt names
-- key:      file_key, feed, source_row
-- inputs:   records.receipts, store.held, store.clients, store.placements, store.assessments, store.circumstances, store.injuries, store.loans, store.actions, store.merges
-- beware:   client_id is as the source sent it; merges are applied in records.versions
-- columns:
--   feed             text                       the feed
--   source           text                       who sent it; an id is unique within a feed and a source
--   file_key         text                       the reading of a file that the row came in with
--   source_row       integer                    row of the file, the heading being row 1
--   record_id        id                         the record, by its source's id
--   client_id        id                         the person, as sent
--   updated_at       timestamp                  when the source last changed the record; the receive time where blank
--   received_at      timestamp                  when these bytes first came in, in UTC
--   standing         code live|superseded|withdrawn  superseded: a newer reading of the same bytes exists
--   repeats          code duplicate|unchanged   equal in every column to the version before it, in one file or in two
--   version_number   integer                    place in the order of the record's live rows; blank when not live
--   row_count        integer                    live rows of the record; blank when not live
--   is_removed       boolean                    the source calls the record entered in error
--   is_absent        boolean                    the source sends everything each time, and its last file no longer has the record
-- Windows run only over records with more than one live row: most have one.
WITH feed_rows AS (
    SELECT 'clients' AS feed, file_key, source_row, client_id AS record_id, client_id, updated_at, record_status,
        content_key
    FROM store.clients
    UNION ALL
    SELECT 'placements' AS feed, file_key, source_row, placement_id AS record_id, client_id, updated_at, record_status,
        content_key
    FROM store.placements
    UNION ALL
    SELECT 'assessments' AS feed, file_key, source_row, assessment_id AS record_id, client_id, updated_at, record_status,
        content_key
    FROM store.assessments
    UNION ALL
    SELECT 'circumstances' AS feed, file_key, source_row, circumstances_id AS record_id, client_id, updated_at, record_status,
        content_key
    FROM store.circumstances
    UNION ALL
    SELECT 'injuries' AS feed, file_key, source_row, injury_observation_id AS record_id, client_id, updated_at, record_status,
        content_key
    FROM store.injuries
    UNION ALL
    SELECT 'loans' AS feed, file_key, source_row, loan_id AS record_id, client_id, updated_at, record_status,
        content_key
    FROM store.loans
    UNION ALL
    SELECT 'actions' AS feed, file_key, source_row, action_id AS record_id, client_id, updated_at, record_status,
        content_key
    FROM store.actions
    UNION ALL
    SELECT 'merges' AS feed, file_key, source_row, old_client_id AS record_id, client_id, updated_at, record_status,
        content_key
    FROM store.merges
),
placed_rows AS (
    SELECT
        feed_rows.feed,
        receipts.source,
        feed_rows.file_key,
        feed_rows.source_row,
        feed_rows.record_id,
        feed_rows.client_id,
        COALESCE(feed_rows.updated_at, receipts.received_local) AS updated_at,
        receipts.received_at,
        receipts.standing,
        COALESCE(feed_rows.record_status = 'entered-in-error', FALSE) AS is_removed,
        feed_rows.content_key
    FROM feed_rows
    INNER JOIN records.receipts ON receipts.file_key = feed_rows.file_key AND receipts.feed = feed_rows.feed
),
repeated AS (
    SELECT
        feed,
        source,
        record_id,
        CAST(COUNT(*) AS INTEGER) AS row_count
    FROM placed_rows
    WHERE standing = 'live'
    GROUP BY feed, source, record_id
    HAVING COUNT(*) > 1
),
ordered AS (
    SELECT
        placed_rows.feed,
        placed_rows.file_key,
        placed_rows.source_row,
        repeated.row_count,
        CAST(ROW_NUMBER() OVER (
            PARTITION BY placed_rows.feed, placed_rows.source, placed_rows.record_id
            ORDER BY placed_rows.updated_at, placed_rows.received_at, placed_rows.content_key,
                placed_rows.file_key, placed_rows.source_row
        ) AS INTEGER) AS version_number,
        placed_rows.content_key,
        LAG(placed_rows.content_key) OVER (
            PARTITION BY placed_rows.feed, placed_rows.source, placed_rows.record_id
            ORDER BY placed_rows.updated_at, placed_rows.received_at, placed_rows.content_key,
                placed_rows.file_key, placed_rows.source_row
        ) AS content_key_before,
        LAG(placed_rows.file_key) OVER (
            PARTITION BY placed_rows.feed, placed_rows.source, placed_rows.record_id
            ORDER BY placed_rows.updated_at, placed_rows.received_at, placed_rows.content_key,
                placed_rows.file_key, placed_rows.source_row
        ) AS file_key_before
    FROM placed_rows
    INNER JOIN repeated
        ON repeated.feed = placed_rows.feed
        AND repeated.source = placed_rows.source
        AND repeated.record_id = placed_rows.record_id
    WHERE placed_rows.standing = 'live'
),
snapshot_latest AS (
    SELECT
        feed,
        source,
        MAX(received_at) AS received_at
    FROM records.receipts
    WHERE standing = 'live' AND delivers = 'snapshot'
    GROUP BY feed, source
),
-- A row that was held is still in the file: its record has not ended, and the older good version stands.
snapshot_sightings AS (
    SELECT placed_rows.feed, placed_rows.source, placed_rows.record_id, placed_rows.received_at
    FROM placed_rows
    INNER JOIN snapshot_latest
        ON snapshot_latest.feed = placed_rows.feed AND snapshot_latest.source = placed_rows.source
    WHERE placed_rows.standing = 'live'
    UNION ALL
    SELECT held.feed, receipts.source, held.record_id, receipts.received_at
    FROM store.held
    INNER JOIN records.receipts ON receipts.file_key = held.file_key AND receipts.feed = held.feed
    INNER JOIN snapshot_latest
        ON snapshot_latest.feed = held.feed AND snapshot_latest.source = receipts.source
    WHERE receipts.standing = 'live' AND held.record_id IS NOT NULL
),
absent AS (
    SELECT
        snapshot_sightings.feed,
        snapshot_sightings.source,
        snapshot_sightings.record_id
    FROM snapshot_sightings
    INNER JOIN snapshot_latest
        ON snapshot_latest.feed = snapshot_sightings.feed AND snapshot_latest.source = snapshot_sightings.source
    GROUP BY snapshot_sightings.feed, snapshot_sightings.source, snapshot_sightings.record_id, snapshot_latest.received_at
    HAVING MAX(snapshot_sightings.received_at) < snapshot_latest.received_at
)
SELECT
    placed_rows.feed,
    placed_rows.source,
    placed_rows.file_key,
    CAST(placed_rows.source_row AS INTEGER) AS source_row,
    placed_rows.record_id,
    placed_rows.client_id,
    placed_rows.updated_at,
    placed_rows.received_at,
    placed_rows.standing,
    CASE
        WHEN ordered.content_key_before = ordered.content_key AND ordered.file_key_before = ordered.file_key
            THEN 'duplicate'
        WHEN ordered.content_key_before = ordered.content_key THEN 'unchanged'
    END AS repeats,
    CASE WHEN placed_rows.standing = 'live' THEN COALESCE(ordered.version_number, 1) END AS version_number,
    CASE WHEN placed_rows.standing = 'live' THEN COALESCE(ordered.row_count, 1) END AS row_count,
    placed_rows.is_removed,
    absent.record_id IS NOT NULL AS is_absent
FROM placed_rows
LEFT JOIN ordered
    ON ordered.file_key = placed_rows.file_key
    AND ordered.feed = placed_rows.feed
    AND ordered.source_row = placed_rows.source_row
LEFT JOIN absent
    ON absent.feed = placed_rows.feed
    AND absent.source = placed_rows.source
    AND absent.record_id = placed_rows.record_id
