-- question: Which files came in, and what became of each?
-- grain:    one row per reading of a file as a feed, and one per refused file and reason
-- key:      file_id, feed?, received_at, status, code?, file_name
-- inputs:   store.files, store.refused
-- beware:   a refused file was not read: its row counts are blank; it leaves the list once the same bytes are taken in
-- columns:
--   file_id        text       the bytes, by their sha256
--   file_name      text       the name it came with
--   source         text       who sent it
--   feed           text       the feed; blank when nobody could say
--   received_at    timestamp  when it came in, in UTC
--   rows_read      integer    rows in the file
--   rows_accepted  integer    rows taken in
--   rows_held      integer    rows held back
--   status         code accepted|superseded|withdrawn|refused  superseded: the same bytes were read again under a new contract
--   code           text       why it was refused
--   first_on       date       earliest event in the accepted rows
--   last_on        date       latest event in the accepted rows
--   usual_rows     number     median rows of up to eight files before it, of the same source and feed
--   is_unusual_size  boolean  fewer than half or more than twice the usual rows; blank for a first file
-- A truncated export looks like progress, so the size of each file is compared with those before it.
WITH numbered AS (
    SELECT
        files.file_key,
        files.file_id,
        files.file_name,
        files.source,
        files.feed,
        files.received_at,
        files.rows_read,
        files.rows_accepted,
        files.rows_held,
        CASE
            WHEN files.withdrawn_at IS NOT NULL THEN 'withdrawn'
            WHEN files.superseded_at IS NOT NULL THEN 'superseded'
            ELSE 'accepted'
        END AS status,
        files.first_on,
        files.last_on,
        ROW_NUMBER() OVER (
            PARTITION BY files.source, files.feed
            ORDER BY files.received_at, files.file_key
        ) AS place
    FROM store.files
),
usual AS (
    SELECT
        numbered.file_key,
        CAST(ROUND(MEDIAN(earlier.rows_read), 4) AS DECIMAL(18, 4)) AS usual_rows
    FROM numbered
    INNER JOIN numbered AS earlier
        ON earlier.source = numbered.source
        AND earlier.feed = numbered.feed
        AND earlier.place BETWEEN numbered.place - 8 AND numbered.place - 1
    WHERE earlier.status = 'accepted'
    GROUP BY numbered.file_key
),
taken_in AS (
    SELECT file_id, MAX(received_at) AS received_at
    FROM store.files
    GROUP BY file_id
),
turned_away AS (
    SELECT
        refused.file_id,
        refused.file_name,
        refused.source,
        refused.feed,
        refused.code,
        MAX(refused.received_at) AS received_at
    FROM store.refused
    LEFT JOIN taken_in ON taken_in.file_id = refused.file_id
    WHERE taken_in.file_id IS NULL OR taken_in.received_at < refused.received_at
    GROUP BY refused.file_id, refused.file_name, refused.source, refused.feed, refused.code
)
SELECT
    numbered.file_id,
    numbered.file_name,
    numbered.source,
    numbered.feed,
    numbered.received_at,
    numbered.rows_read,
    numbered.rows_accepted,
    numbered.rows_held,
    numbered.status,
    CAST(NULL AS VARCHAR) AS code,
    numbered.first_on,
    numbered.last_on,
    usual.usual_rows,
    numbered.rows_read < usual.usual_rows / 2 OR numbered.rows_read > usual.usual_rows * 2 AS is_unusual_size
FROM numbered
LEFT JOIN usual ON usual.file_key = numbered.file_key
UNION ALL
SELECT
    turned_away.file_id,
    turned_away.file_name,
    turned_away.source,
    turned_away.feed,
    turned_away.received_at,
    CAST(NULL AS INTEGER) AS rows_read,
    CAST(NULL AS INTEGER) AS rows_accepted,
    CAST(NULL AS INTEGER) AS rows_held,
    'refused' AS status,
    turned_away.code,
    CAST(NULL AS DATE) AS first_on,
    CAST(NULL AS DATE) AS last_on,
    CAST(NULL AS DECIMAL(18, 4)) AS usual_rows,
    CAST(NULL AS BOOLEAN) AS is_unusual_size
FROM turned_away
