-- question: What became of every accepted row, and which one stands?
-- grain:    one row per accepted row that a receipt names
-- key:      file_key, feed, source_row
-- inputs:   records.readings, records.merged_clients
-- beware:   an id that two sources use for two records is told apart in public_id by the source's name
-- columns:
--   feed             text                       the feed
--   source           text                       who sent it
--   file_key         text                       the reading of a file that the row came in with
--   source_row       integer                    row of the file, the heading being row 1
--   record_id        id                         the record, by its source's id
--   public_id        id                         the record's id in every other relation: record_id, and @source where two sources use it
--   client_id        id                         the person, after every merge known by now
--   updated_at       timestamp                  when the source last changed the record; the receive time where blank
--   received_at      timestamp                  when these bytes were first received, in UTC
--   version_status   code current|superseded|unchanged|duplicate|entered_in_error|waiting|withdrawn  what became of the row
--   waiting_code     code client_unknown|id_reused  why it waits
-- The newest version that is not waiting wins. A version that names another person than the record's first version
-- waits: one of the two is wrong, and guessing would put a wound on the wrong body.
WITH resolved AS (
    SELECT
        readings.feed,
        readings.source,
        readings.file_key,
        readings.source_row,
        readings.record_id,
        CASE
            WHEN readings.feed = 'merges' THEN readings.client_id
            ELSE COALESCE(merged_clients.client_id, readings.client_id)
        END AS client_id,
        readings.updated_at,
        readings.received_at,
        readings.standing,
        readings.repeats,
        readings.version_number,
        readings.row_count,
        readings.is_removed,
        readings.is_absent
    FROM records.readings
    LEFT JOIN records.merged_clients ON merged_clients.old_client_id = readings.client_id
),
newest_clients AS (
    SELECT source, record_id, MAX(version_number) AS version_number
    FROM resolved
    WHERE feed = 'clients' AND standing = 'live' AND repeats IS NULL
    GROUP BY source, record_id
),
known_clients AS (
    SELECT DISTINCT resolved.client_id
    FROM resolved
    INNER JOIN newest_clients
        ON newest_clients.source = resolved.source
        AND newest_clients.record_id = resolved.record_id
        AND newest_clients.version_number = resolved.version_number
    WHERE resolved.feed = 'clients' AND NOT resolved.is_removed AND NOT resolved.is_absent
),
first_clients AS (
    SELECT feed, source, record_id, client_id
    FROM resolved
    WHERE row_count > 1 AND version_number = 1 AND feed NOT IN ('clients', 'merges')
),
judged AS (
    SELECT
        resolved.feed,
        resolved.source,
        resolved.file_key,
        resolved.source_row,
        resolved.record_id,
        resolved.client_id,
        resolved.updated_at,
        resolved.received_at,
        resolved.standing,
        resolved.repeats,
        resolved.version_number,
        resolved.row_count,
        resolved.is_removed,
        resolved.is_absent,
        CASE
            WHEN resolved.standing <> 'live' OR resolved.repeats IS NOT NULL THEN NULL
            WHEN first_clients.client_id <> resolved.client_id THEN 'id_reused'
            WHEN resolved.feed IN ('clients', 'placements', 'merges') THEN NULL
            WHEN known_clients.client_id IS NULL THEN 'client_unknown'
        END AS waiting_code
    FROM resolved
    LEFT JOIN known_clients ON known_clients.client_id = resolved.client_id
    LEFT JOIN first_clients
        ON first_clients.feed = resolved.feed
        AND first_clients.source = resolved.source
        AND first_clients.record_id = resolved.record_id
),
newest AS (
    SELECT feed, source, record_id, MAX(version_number) AS version_number
    FROM judged
    WHERE row_count > 1 AND repeats IS NULL AND waiting_code IS NULL
    GROUP BY feed, source, record_id
),
decided AS (
    SELECT
        judged.feed,
        judged.source,
        judged.file_key,
        judged.source_row,
        judged.record_id,
        judged.client_id,
        judged.updated_at,
        judged.received_at,
        CASE
            WHEN judged.standing <> 'live' THEN judged.standing
            WHEN judged.repeats IS NOT NULL THEN judged.repeats
            WHEN judged.waiting_code IS NOT NULL THEN 'waiting'
            WHEN judged.row_count > 1 AND newest.version_number <> judged.version_number THEN 'superseded'
            WHEN judged.is_removed THEN 'entered_in_error'
            WHEN judged.is_absent THEN 'superseded'
            ELSE 'current'
        END AS version_status,
        judged.waiting_code
    FROM judged
    LEFT JOIN newest
        ON newest.feed = judged.feed
        AND newest.source = judged.source
        AND newest.record_id = judged.record_id
),
-- Only a feed with several sources can have one id for two records, so the rest is never counted.
shared_feeds AS (
    SELECT feed
    FROM decided
    WHERE feed NOT IN ('clients', 'merges') AND version_status = 'current'
    GROUP BY feed
    HAVING COUNT(DISTINCT source) > 1
),
shared_ids AS (
    SELECT decided.feed, decided.record_id
    FROM decided
    INNER JOIN shared_feeds ON shared_feeds.feed = decided.feed
    WHERE decided.version_status = 'current'
    GROUP BY decided.feed, decided.record_id
    HAVING COUNT(DISTINCT decided.source) > 1
)
SELECT
    decided.feed,
    decided.source,
    decided.file_key,
    decided.source_row,
    decided.record_id,
    CASE
        WHEN shared_ids.record_id IS NULL THEN decided.record_id
        ELSE decided.record_id || '@' || decided.source
    END AS public_id,
    decided.client_id,
    decided.updated_at,
    decided.received_at,
    decided.version_status,
    decided.waiting_code
FROM decided
LEFT JOIN shared_ids ON shared_ids.feed = decided.feed AND shared_ids.record_id = decided.record_id
