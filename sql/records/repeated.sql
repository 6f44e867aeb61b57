-- question: Which records came in more than one row, and in what order do their rows stand?
-- grain:    one row per live row of a record that has several
-- key:      file_key, source_row
-- inputs:   records.receipts, store.recurring
-- beware:   client_id is as the source sent it; a record with a single live row has no row here
-- columns:
--   feed            text       the feed
--   source          text       who sent it; an id is unique within a feed and a source
--   record_id       id         the record, by its source's id
--   file_key        text       the reading of a file that the row came in with
--   source_row      integer    row of the file, the heading being row 1
--   client_id       id         the person, as sent
--   updated_at      timestamp  when the source last changed the record; the receive time where blank
--   received_at     timestamp  when these bytes first came in, in UTC
--   version_number  integer    place in the order of the record's live rows
--   repeats         code duplicate|unchanged  equal in every column to the version before it, in one file or in two
--   is_removed      boolean    the source calls the record entered in error
-- Most records have one row, so only those of several are looked at; not all of their rows may be of one source, or live.
WITH several AS (
    SELECT
        recurring.feed,
        receipts.source,
        recurring.record_id
    FROM store.recurring
    INNER JOIN records.receipts ON receipts.file_key = recurring.file_key
    WHERE receipts.standing = 'live'
    GROUP BY recurring.feed, receipts.source, recurring.record_id
    HAVING COUNT(*) > 1
),
dated AS (
    SELECT
        recurring.feed,
        receipts.source,
        recurring.record_id,
        recurring.file_key,
        recurring.source_row,
        recurring.client_id,
        COALESCE(recurring.updated_at, receipts.received_local) AS updated_at,
        receipts.received_at,
        COALESCE(recurring.record_status = 'entered-in-error', FALSE) AS is_removed,
        recurring.content_key
    FROM store.recurring
    INNER JOIN records.receipts ON receipts.file_key = recurring.file_key
    INNER JOIN several
        ON several.feed = recurring.feed
        AND several.source = receipts.source
        AND several.record_id = recurring.record_id
    WHERE receipts.standing = 'live'
),
-- File and row break ties of equal content only, so no version wins by the name of its file.
ordered AS (
    SELECT
        feed,
        source,
        record_id,
        file_key,
        source_row,
        client_id,
        updated_at,
        received_at,
        is_removed,
        content_key,
        ROW_NUMBER() OVER (
            PARTITION BY feed, source, record_id
            ORDER BY updated_at, received_at, content_key, file_key, source_row
        ) AS version_number,
        LAG(content_key) OVER (
            PARTITION BY feed, source, record_id
            ORDER BY updated_at, received_at, content_key, file_key, source_row
        ) AS content_key_before,
        LAG(file_key) OVER (
            PARTITION BY feed, source, record_id
            ORDER BY updated_at, received_at, content_key, file_key, source_row
        ) AS file_key_before
    FROM dated
)
SELECT
    feed,
    source,
    record_id,
    file_key,
    CAST(source_row AS INTEGER) AS source_row,
    client_id,
    updated_at,
    received_at,
    CAST(version_number AS INTEGER) AS version_number,
    CASE
        WHEN content_key_before = content_key AND file_key_before = file_key THEN 'duplicate'
        WHEN content_key_before = content_key THEN 'unchanged'
    END AS repeats,
    is_removed
FROM ordered
