-- question: Which records does a source that sends everything each time list no more?
-- grain:    one row per ended record
-- key:      feed, source, record_id
-- inputs:   records.receipts, store.held, store.accepted
-- beware:   only sources that declare snapshots can end a record by leaving it out
-- columns:
--   feed       text  the feed
--   source     text  who sent it
--   record_id  id    the record
-- A row that was held is still in the file: its record has not ended, and the older good version stands.
WITH snapshots AS (
    SELECT file_key, feed, source, received_at
    FROM records.receipts
    WHERE standing = 'live' AND delivers = 'snapshot'
),
newest_snapshots AS (
    SELECT feed, source, MAX(received_at) AS received_at
    FROM snapshots
    GROUP BY feed, source
),
listed AS (
    SELECT feed, file_key, record_id FROM store.accepted
    UNION ALL
    SELECT feed, file_key, record_id FROM store.held WHERE record_id IS NOT NULL
),
last_listed AS (
    SELECT
        listed.feed,
        snapshots.source,
        listed.record_id,
        MAX(snapshots.received_at) AS received_at
    FROM listed
    INNER JOIN snapshots ON snapshots.file_key = listed.file_key AND snapshots.feed = listed.feed
    GROUP BY listed.feed, snapshots.source, listed.record_id
)
SELECT
    last_listed.feed,
    last_listed.source,
    last_listed.record_id
FROM last_listed
INNER JOIN newest_snapshots
    ON newest_snapshots.feed = last_listed.feed AND newest_snapshots.source = last_listed.source
WHERE last_listed.received_at < newest_snapshots.received_at
