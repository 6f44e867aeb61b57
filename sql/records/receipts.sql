-- question: Which readings of files count, and when did their bytes first come in?
-- grain:    one row per reading of a file as a feed
-- key:      file_key
-- inputs:   store.files
-- beware:   bytes that are read again under a new contract keep the time at which they first came in
-- columns:
--   receipt_number  integer    a short number for the reading, in the order of receipt
--   file_key        text       the reading
--   file_id         text       the bytes
--   feed            text       the feed
--   source          text       who sent it
--   delivers        code changes|snapshot  what an absent record means: nothing, or its end
--   received_at     timestamp  when these bytes first came in, in UTC
--   received_local  timestamp  the same in local time
--   standing        code live|superseded|withdrawn  superseded: a newer reading of the same bytes exists
-- Without the first rule a change of policy would shuffle the order of versions that carry no time of their own.
WITH first_receipts AS (
    SELECT
        file_id,
        feed,
        MIN(received_at) AS received_at,
        MIN(received_local) AS received_local
    FROM store.files
    WHERE withdrawn_at IS NULL
    GROUP BY file_id, feed
)
SELECT
    CAST(ROW_NUMBER() OVER (ORDER BY files.received_at, files.file_key, files.feed) AS INTEGER) AS receipt_number,
    files.file_key,
    files.file_id,
    files.feed,
    files.source,
    files.delivers,
    COALESCE(first_receipts.received_at, files.received_at) AS received_at,
    COALESCE(first_receipts.received_local, files.received_local) AS received_local,
    CASE
        WHEN files.withdrawn_at IS NOT NULL THEN 'withdrawn'
        WHEN files.superseded_at IS NOT NULL THEN 'superseded'
        ELSE 'live'
    END AS standing
FROM store.files
LEFT JOIN first_receipts ON first_receipts.file_id = files.file_id AND first_receipts.feed = files.feed
