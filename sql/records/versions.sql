-- question: What became of every accepted row, and which one stands?
-- grain:    one row per accepted row that a receipt names
-- key:      receipt_number, source_row
-- inputs:   records.receipts, records.repeated, records.ended, records.merged_clients, store.clients, store.placements,
--           store.assessments, store.circumstances, store.injuries, store.loans, store.actions, store.merges
-- beware:   an id that two sources use for two records is told apart in public_id by the source's name
-- columns:
--   feed             text                       the feed
--   source           text                       who sent it
--   file_key         text                       the reading of a file that the row came in with
--   receipt_number   integer                    the same, by its number in records.receipts
--   source_row       integer                    row of the file, the heading being row 1
--   record_id        id                         the record, by its source's id
--   public_id        id                         the record's id in every other relation: record_id, and @source where two sources use it
--   client_id        id                         the person, after every merge known by now
--   updated_at       timestamp                  when the source last changed the record; the receive time where blank
--   received_at      timestamp                  when these bytes first came in, in UTC
--   version_status   code current|superseded|unchanged|duplicate|entered_in_error|waiting|withdrawn  what became of the row
--   waiting_code     code client_unknown|id_reused  why it waits
-- The newest version that is not waiting wins. A version that names another person than the record's first version
-- waits: one of the two is wrong, and guessing would put a wound on the wrong body.
-- The feeds are read twice on purpose: kept between the two uses, they would be copied whole.
WITH listed AS (
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
),
feed_rows AS (
    SELECT 'clients' AS feed, file_key, source_row, client_id AS record_id, client_id, updated_at, record_status
    FROM store.clients
    UNION ALL
    SELECT 'placements' AS feed, file_key, source_row, placement_id AS record_id, client_id, updated_at, record_status
    FROM store.placements
    UNION ALL
    SELECT 'assessments' AS feed, file_key, source_row, assessment_id AS record_id, client_id, updated_at, record_status
    FROM store.assessments
    UNION ALL
    SELECT 'circumstances' AS feed, file_key, source_row, circumstances_id AS record_id, client_id, updated_at, record_status
    FROM store.circumstances
    UNION ALL
    SELECT 'injuries' AS feed, file_key, source_row, injury_observation_id AS record_id, client_id, updated_at, record_status
    FROM store.injuries
    UNION ALL
    SELECT 'loans' AS feed, file_key, source_row, loan_id AS record_id, client_id, updated_at, record_status
    FROM store.loans
    UNION ALL
    SELECT 'actions' AS feed, file_key, source_row, action_id AS record_id, client_id, updated_at, record_status
    FROM store.actions
    UNION ALL
    SELECT 'merges' AS feed, file_key, source_row, old_client_id AS record_id, client_id, updated_at, record_status
    FROM store.merges
),
-- Rows of records with several rows are few, so everything that compares rows looks at these alone.
newest_client_rows AS (
    SELECT source, record_id, MAX(version_number) AS version_number
    FROM records.repeated
    WHERE feed = 'clients'
    GROUP BY source, record_id
),
known_clients AS (
    SELECT DISTINCT COALESCE(merged_clients.client_id, clients.client_id) AS client_id
    FROM store.clients
    INNER JOIN records.receipts ON receipts.file_key = clients.file_key AND receipts.feed = 'clients'
    LEFT JOIN records.repeated
        ON repeated.feed = 'clients'
        AND repeated.file_key = clients.file_key
        AND repeated.source_row = clients.source_row
    LEFT JOIN newest_client_rows
        ON newest_client_rows.source = repeated.source
        AND newest_client_rows.record_id = repeated.record_id
    LEFT JOIN records.ended
        ON ended.feed = 'clients' AND ended.source = receipts.source AND ended.record_id = clients.client_id
    LEFT JOIN records.merged_clients ON merged_clients.old_client_id = clients.client_id
    WHERE receipts.standing = 'live'
        AND COALESCE(clients.record_status, 'final') <> 'entered-in-error'
        AND ended.record_id IS NULL
        AND (repeated.record_id IS NULL OR repeated.version_number = newest_client_rows.version_number)
),
first_clients AS (
    SELECT
        repeated.feed,
        repeated.source,
        repeated.record_id,
        COALESCE(merged_clients.client_id, repeated.client_id) AS client_id
    FROM records.repeated
    LEFT JOIN records.merged_clients ON merged_clients.old_client_id = repeated.client_id
    WHERE repeated.version_number = 1 AND repeated.feed NOT IN ('clients', 'merges')
),
compared AS (
    SELECT
        repeated.feed,
        repeated.source,
        repeated.record_id,
        repeated.file_key,
        repeated.source_row,
        repeated.version_number,
        repeated.repeats,
        CASE
            WHEN repeated.repeats IS NOT NULL THEN NULL
            WHEN first_clients.client_id <> COALESCE(merged_clients.client_id, repeated.client_id) THEN 'id_reused'
            WHEN repeated.feed IN ('clients', 'placements', 'merges') THEN NULL
            WHEN known_clients.client_id IS NULL THEN 'client_unknown'
        END AS waiting_code
    FROM records.repeated
    LEFT JOIN records.merged_clients ON merged_clients.old_client_id = repeated.client_id
    LEFT JOIN known_clients
        ON known_clients.client_id = COALESCE(merged_clients.client_id, repeated.client_id)
    LEFT JOIN first_clients
        ON first_clients.feed = repeated.feed
        AND first_clients.source = repeated.source
        AND first_clients.record_id = repeated.record_id
),
newest AS (
    SELECT feed, source, record_id, MAX(version_number) AS version_number
    FROM compared
    WHERE repeats IS NULL AND waiting_code IS NULL
    GROUP BY feed, source, record_id
),
decided AS (
    SELECT
        compared.feed,
        compared.file_key,
        compared.source_row,
        compared.waiting_code,
        CASE
            WHEN compared.repeats IS NOT NULL THEN compared.repeats
            WHEN compared.waiting_code IS NOT NULL THEN 'waiting'
            WHEN newest.version_number <> compared.version_number THEN 'superseded'
            ELSE 'newest'
        END AS place
    FROM compared
    LEFT JOIN newest
        ON newest.feed = compared.feed
        AND newest.source = compared.source
        AND newest.record_id = compared.record_id
),
-- Only a feed with several sources can have one id for two records, so the others are never counted.
shared_feeds AS (
    SELECT feed
    FROM records.receipts
    WHERE standing = 'live' AND feed NOT IN ('clients', 'merges')
    GROUP BY feed
    HAVING COUNT(DISTINCT source) > 1
),
shared_ids AS (
    SELECT listed.feed, listed.record_id
    FROM listed
    INNER JOIN shared_feeds ON shared_feeds.feed = listed.feed
    INNER JOIN records.receipts ON receipts.file_key = listed.file_key AND receipts.feed = listed.feed
    WHERE receipts.standing = 'live'
    GROUP BY listed.feed, listed.record_id
    HAVING COUNT(DISTINCT receipts.source) > 1
),
joined AS (
    SELECT
        feed_rows.feed,
        receipts.source,
        feed_rows.file_key,
        receipts.receipt_number,
        feed_rows.source_row,
        feed_rows.record_id,
        CASE
            WHEN feed_rows.feed = 'merges' THEN feed_rows.client_id
            ELSE COALESCE(merged_clients.client_id, feed_rows.client_id)
        END AS client_id,
        COALESCE(feed_rows.updated_at, receipts.received_local) AS updated_at,
        receipts.received_at,
        receipts.standing,
        COALESCE(feed_rows.record_status = 'entered-in-error', FALSE) AS is_removed
    FROM feed_rows
    INNER JOIN records.receipts ON receipts.file_key = feed_rows.file_key AND receipts.feed = feed_rows.feed
    LEFT JOIN records.merged_clients ON merged_clients.old_client_id = feed_rows.client_id
)
SELECT
    joined.feed,
    joined.source,
    joined.file_key,
    joined.receipt_number,
    CAST(joined.source_row AS INTEGER) AS source_row,
    joined.record_id,
    CASE
        WHEN shared_ids.record_id IS NULL THEN joined.record_id
        ELSE joined.record_id || '@' || joined.source
    END AS public_id,
    joined.client_id,
    joined.updated_at,
    joined.received_at,
    CASE
        WHEN joined.standing <> 'live' THEN joined.standing
        WHEN decided.place <> 'newest' THEN decided.place
        WHEN decided.place IS NULL
            AND joined.feed NOT IN ('clients', 'placements', 'merges')
            AND known_clients.client_id IS NULL THEN 'waiting'
        WHEN joined.is_removed THEN 'entered_in_error'
        WHEN ended.record_id IS NOT NULL THEN 'superseded'
        ELSE 'current'
    END AS version_status,
    CASE
        WHEN joined.standing <> 'live' THEN NULL
        WHEN decided.place IS NOT NULL THEN decided.waiting_code
        WHEN joined.feed NOT IN ('clients', 'placements', 'merges')
            AND known_clients.client_id IS NULL THEN 'client_unknown'
    END AS waiting_code
FROM joined
LEFT JOIN known_clients ON known_clients.client_id = joined.client_id
LEFT JOIN decided
    ON decided.feed = joined.feed
    AND decided.file_key = joined.file_key
    AND decided.source_row = joined.source_row
LEFT JOIN records.ended
    ON ended.feed = joined.feed AND ended.source = joined.source AND ended.record_id = joined.record_id
LEFT JOIN shared_ids ON shared_ids.feed = joined.feed AND shared_ids.record_id = joined.record_id
