-- question: Which rows are out of every count until somebody corrects them?
-- grain:    one row per held or waiting row, column and reason
-- key:      file_id, feed, source_row, column_name?, code
-- inputs:   store.held, store.accepted, records.receipts, records.set_aside, records.merged_clients, review.parameters
-- beware:   a row leaves when a good version that is not older comes in, or when its file is withdrawn
-- columns:
--   file_id        text       the bytes of the file
--   source_row     integer    row of the file, the heading being row 1
--   feed           text       the feed
--   record_id      id         the record, when it could be read
--   client_id      id         the person, when that could be read, after merges
--   column_name    text       the column at fault; blank when the whole row is
--   code           text       why
--   status         code waiting|expired  expired: nobody corrected it within the days that the service allows
--   hides_newer    boolean    an older good version of the record stands meanwhile
--   source         text       who sent it
--   file_key       text       the reading of the file
--   received_at    timestamp  when it first came in, in UTC
WITH wanting AS (
    SELECT
        receipts.file_id,
        held.file_key,
        held.source_row,
        held.feed,
        receipts.source,
        held.record_id,
        COALESCE(merged_clients.client_id, held.client_id) AS client_id,
        held.codes,
        held.columns AS column_names,
        COALESCE(held.updated_at, receipts.received_local) AS updated_at,
        receipts.received_at,
        receipts.received_local
    FROM store.held
    INNER JOIN records.receipts ON receipts.file_key = held.file_key
    LEFT JOIN records.merged_clients ON merged_clients.old_client_id = held.client_id
    WHERE receipts.standing = 'live'
    UNION ALL
    SELECT
        receipts.file_id,
        receipts.file_key,
        set_aside.source_row,
        set_aside.feed,
        set_aside.source,
        set_aside.record_id,
        set_aside.client_id,
        set_aside.waiting_code AS codes,
        'client_id' AS column_names,
        set_aside.updated_at,
        receipts.received_at,
        receipts.received_local
    FROM records.set_aside
    INNER JOIN records.receipts ON receipts.receipt_number = set_aside.receipt_number
    WHERE set_aside.version_status = 'waiting'
),
-- Only the records that have a row here matter, and they are few.
wanted_records AS (
    SELECT DISTINCT record_id
    FROM wanting
),
good AS (
    SELECT
        accepted.feed,
        receipts.source,
        accepted.record_id,
        MAX(COALESCE(accepted.updated_at, receipts.received_local)) AS updated_at,
        MAX(
            CASE WHEN set_aside.source_row IS NULL THEN COALESCE(merged_clients.client_id, accepted.client_id) END
        ) AS client_id
    FROM store.accepted
    INNER JOIN records.receipts ON receipts.file_key = accepted.file_key
    INNER JOIN wanted_records ON wanted_records.record_id = accepted.record_id
    LEFT JOIN records.set_aside
        ON set_aside.receipt_number = receipts.receipt_number AND set_aside.source_row = accepted.source_row
    LEFT JOIN records.merged_clients ON merged_clients.old_client_id = accepted.client_id
    WHERE receipts.standing = 'live' AND COALESCE(set_aside.version_status, 'current') <> 'waiting'
    GROUP BY accepted.feed, receipts.source, accepted.record_id
),
standing AS (
    SELECT
        wanting.file_id,
        wanting.file_key,
        wanting.source_row,
        wanting.feed,
        wanting.source,
        wanting.record_id,
        COALESCE(wanting.client_id, good.client_id) AS client_id,
        wanting.codes,
        wanting.column_names,
        wanting.received_at,
        CASE
            WHEN DATE_DIFF('day', CAST(wanting.received_local AS DATE), CAST(parameters.looked_at AS DATE))
                > parameters.held_for_days THEN 'expired'
            ELSE 'waiting'
        END AS status,
        good.client_id IS NOT NULL AS hides_newer
    FROM wanting
    CROSS JOIN review.parameters
    LEFT JOIN good
        ON good.feed = wanting.feed AND good.source = wanting.source AND good.record_id = wanting.record_id
    WHERE good.updated_at IS NULL OR good.updated_at < wanting.updated_at
),
numbered AS (
    SELECT
        file_id,
        file_key,
        source_row,
        feed,
        source,
        record_id,
        client_id,
        codes,
        column_names,
        received_at,
        status,
        hides_newer,
        UNNEST(GENERATE_SERIES(1, LENGTH(codes) - LENGTH(REPLACE(codes, ';', '')) + 1)) AS place
    FROM standing
)
SELECT DISTINCT
    numbered.file_id,
    CAST(numbered.source_row AS INTEGER) AS source_row,
    numbered.feed,
    numbered.record_id,
    numbered.client_id,
    NULLIF(TRIM(SPLIT_PART(numbered.column_names, ';', CAST(numbered.place AS INTEGER))), '') AS column_name,
    TRIM(SPLIT_PART(numbered.codes, ';', CAST(numbered.place AS INTEGER))) AS code,
    numbered.status,
    numbered.hides_newer,
    numbered.source,
    numbered.file_key,
    numbered.received_at
FROM numbered
