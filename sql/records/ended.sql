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
    SELECT
        file_key,
        source,
        received_at,
        MAX(received_at) OVER (PARTITION BY feed, source) AS newest_at
    FROM records.receipts
    WHERE standing = 'live' AND delivers = 'snapshot'
),
listed AS (
    SELECT feed, file_key, record_id FROM store.accepted
    UNION ALL
    SELECT feed, file_key, record_id FROM store.held WHERE record_id IS NOT NULL
)
SELECT
    listed.feed,
    snapshots.source,
    listed.record_id
FROM listed
INNER JOIN snapshots ON snapshots.file_key = listed.file_key
GROUP BY listed.feed, snapshots.source, listed.record_id, snapshots.newest_at
HAVING MAX(snapshots.received_at) < snapshots.newest_at
