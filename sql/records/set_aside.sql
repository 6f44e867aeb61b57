-- question: Which accepted rows do not stand, and why?
-- grain:    one row per accepted row of a live reading that is not the version of its record that stands
-- key:      receipt_number, source_row
-- inputs:   records.receipts, records.repeated, records.ended, records.merged_clients, store.clients, store.accepted
-- beware:   a row that is not here stands; the rows of a reading that gave way or was withdrawn are in records.receipts alone
-- columns:
--   feed             text       the feed
--   source           text       who sent it
--   receipt_number   integer    the reading that the row came in with, by its number in records.receipts
--   source_row       integer    row of the file, the heading being row 1
--   record_id        id         the record, by its source's id
--   client_id        id         the person, after every merge known by now
--   updated_at       timestamp  when the source last changed the record; the receive time where blank
--   version_status   code superseded|unchanged|duplicate|entered_in_error|waiting  what became of the row
--   waiting_code     code client_unknown|id_reused  why it waits
-- The newest version that is not waiting wins. A later version that names another person than the record's first one
-- waits: one of the two is wrong, and guessing would put a wound on the wrong body.
-- Rows of records with several rows are few, so everything that compares rows looks at these alone.
WITH newest_client_rows AS (
    SELECT source, record_id, MAX(version_number) AS version_number
    FROM records.repeated
    WHERE feed = 'clients'
    GROUP BY source, record_id
),
known_clients AS (
    SELECT DISTINCT COALESCE(merged_clients.client_id, clients.client_id) AS client_id
    FROM store.clients
    INNER JOIN records.receipts ON receipts.file_key = clients.file_key
    LEFT JOIN records.repeated
        ON repeated.file_key = clients.file_key
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
named AS (
    SELECT
        repeated.feed,
        repeated.source,
        repeated.record_id,
        repeated.file_key,
        repeated.source_row,
        repeated.version_number,
        repeated.repeats,
        COALESCE(merged_clients.client_id, repeated.client_id) AS client_id,
        repeated.feed IN ('clients', 'placements', 'merges') OR known_clients.client_id IS NOT NULL AS is_known
    FROM records.repeated
    LEFT JOIN records.merged_clients ON merged_clients.old_client_id = repeated.client_id
    LEFT JOIN known_clients
        ON known_clients.client_id = COALESCE(merged_clients.client_id, repeated.client_id)
),
-- A version that names nobody we know settles nothing: the record belongs to the first person who is known.
first_known AS (
    SELECT feed, source, record_id, MIN(version_number) AS version_number
    FROM named
    WHERE is_known AND feed NOT IN ('clients', 'merges')
    GROUP BY feed, source, record_id
),
compared AS (
    SELECT
        named.feed,
        named.source,
        named.record_id,
        named.file_key,
        named.source_row,
        named.version_number,
        named.repeats,
        CASE
            WHEN named.repeats IS NOT NULL THEN NULL
            WHEN owners.version_number < named.version_number AND owners.client_id <> named.client_id THEN 'id_reused'
            WHEN NOT named.is_known THEN 'client_unknown'
        END AS waiting_code
    FROM named
    LEFT JOIN first_known
        ON first_known.feed = named.feed
        AND first_known.source = named.source
        AND first_known.record_id = named.record_id
    LEFT JOIN named AS owners
        ON owners.feed = first_known.feed
        AND owners.source = first_known.source
        AND owners.record_id = first_known.record_id
        AND owners.version_number = first_known.version_number
),
newest AS (
    SELECT feed, source, record_id, MAX(version_number) AS version_number
    FROM compared
    WHERE repeats IS NULL AND waiting_code IS NULL
    GROUP BY feed, source, record_id
),
decided AS (
    SELECT
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
told AS (
    SELECT
        accepted.feed,
        receipts.source,
        receipts.receipt_number,
        accepted.source_row,
        accepted.record_id,
        CASE
            WHEN accepted.feed = 'merges' THEN accepted.client_id
            ELSE COALESCE(merged_clients.client_id, accepted.client_id)
        END AS client_id,
        COALESCE(accepted.updated_at, receipts.received_local) AS updated_at,
        CASE
            WHEN decided.place <> 'newest' THEN decided.place
            WHEN decided.place IS NULL
                AND accepted.feed NOT IN ('clients', 'placements', 'merges')
                AND known_clients.client_id IS NULL THEN 'waiting'
            WHEN accepted.record_status = 'entered-in-error' THEN 'entered_in_error'
            WHEN ended.record_id IS NOT NULL THEN 'superseded'
        END AS version_status,
        CASE
            WHEN decided.place IS NOT NULL THEN decided.waiting_code
            WHEN accepted.feed NOT IN ('clients', 'placements', 'merges')
                AND known_clients.client_id IS NULL THEN 'client_unknown'
        END AS waiting_code
    FROM store.accepted
    INNER JOIN records.receipts ON receipts.file_key = accepted.file_key
    LEFT JOIN records.merged_clients ON merged_clients.old_client_id = accepted.client_id
    LEFT JOIN known_clients
        ON known_clients.client_id = COALESCE(merged_clients.client_id, accepted.client_id)
    LEFT JOIN decided
        ON decided.file_key = accepted.file_key
        AND decided.source_row = accepted.source_row
    LEFT JOIN records.ended
        ON ended.feed = accepted.feed
        AND ended.source = receipts.source
        AND ended.record_id = accepted.record_id
    WHERE receipts.standing = 'live'
)
SELECT
    feed,
    source,
    receipt_number,
    CAST(source_row AS INTEGER) AS source_row,
    record_id,
    client_id,
    updated_at,
    version_status,
    waiting_code
FROM told
WHERE version_status IS NOT NULL
