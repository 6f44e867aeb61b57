-- question: Which records does a source that sends everything each time list no more?
-- grain:    one row per ended record
-- key:      feed, source, record_id
-- inputs:   records.receipts, store.held, store.clients, store.placements, store.assessments, store.circumstances, store.injuries, store.loans, store.actions, store.merges
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
    SELECT 'clients' AS feed, file_key, client_id AS record_id FROM store.clients
    UNION ALL
    SELECT 'placements' AS feed, file_key, placement_id AS record_id FROM store.placements
    UNION ALL
    SELECT 'assessments' AS feed, file_key, assessment_id AS record_id FROM store.assessments
    UNION ALL
    SELECT 'circumstances' AS feed, file_key, circumstances_id AS record_id FROM store.circumstances
    UNION ALL
    SELECT 'injuries' AS feed, file_key, injury_observation_id AS record_id FROM store.injuries
    UNION ALL
    SELECT 'loans' AS feed, file_key, loan_id AS record_id FROM store.loans
    UNION ALL
    SELECT 'actions' AS feed, file_key, action_id AS record_id FROM store.actions
    UNION ALL
    SELECT 'merges' AS feed, file_key, old_client_id AS record_id FROM store.merges
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
