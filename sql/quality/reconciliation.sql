-- question: What became of every accepted row of each feed?
-- grain:    one row per feed
-- key:      feed
-- inputs:   store.feeds, store.files, store.accepted, records.receipts, records.set_aside
-- beware:   accepted is what the receipts say; the rest is counted from the rows themselves, and the sums must agree
-- columns:
--   feed              text     the feed
--   accepted          integer  rows that the receipts say were taken in
--   current           integer  the version of its record that stands
--   superseded        integer  replaced by a newer version, a newer reading of the same bytes, or a source that lists it no more
--   unchanged         integer  equal in every column to the version before it
--   duplicate         integer  the same row twice in one file
--   entered_in_error  integer  newest version of a record that the source took back
--   waiting           integer  the person is not known, or the id belonged to somebody else
--   withdrawn         integer  its file was withdrawn
WITH receipt_rows AS (
    SELECT feed, SUM(rows_accepted) AS accepted
    FROM store.files
    GROUP BY feed
),
judged_rows AS (
    SELECT
        accepted.feed,
        CASE WHEN receipts.standing <> 'live' THEN receipts.standing ELSE COALESCE(set_aside.version_status, 'current') END
            AS version_status
    FROM store.accepted
    INNER JOIN records.receipts ON receipts.file_key = accepted.file_key
    LEFT JOIN records.set_aside
        ON set_aside.receipt_number = receipts.receipt_number AND set_aside.source_row = accepted.source_row
),
summed_up AS (
    SELECT
        feed,
        SUM(CASE WHEN version_status = 'current' THEN 1 ELSE 0 END) AS current,
        SUM(CASE WHEN version_status = 'superseded' THEN 1 ELSE 0 END) AS superseded,
        SUM(CASE WHEN version_status = 'unchanged' THEN 1 ELSE 0 END) AS unchanged,
        SUM(CASE WHEN version_status = 'duplicate' THEN 1 ELSE 0 END) AS duplicate,
        SUM(CASE WHEN version_status = 'entered_in_error' THEN 1 ELSE 0 END) AS entered_in_error,
        SUM(CASE WHEN version_status = 'waiting' THEN 1 ELSE 0 END) AS waiting,
        SUM(CASE WHEN version_status = 'withdrawn' THEN 1 ELSE 0 END) AS withdrawn
    FROM judged_rows
    GROUP BY feed
)
SELECT
    feeds.feed,
    CAST(COALESCE(receipt_rows.accepted, 0) AS INTEGER) AS accepted,
    CAST(COALESCE(summed_up.current, 0) AS INTEGER) AS current,
    CAST(COALESCE(summed_up.superseded, 0) AS INTEGER) AS superseded,
    CAST(COALESCE(summed_up.unchanged, 0) AS INTEGER) AS unchanged,
    CAST(COALESCE(summed_up.duplicate, 0) AS INTEGER) AS duplicate,
    CAST(COALESCE(summed_up.entered_in_error, 0) AS INTEGER) AS entered_in_error,
    CAST(COALESCE(summed_up.waiting, 0) AS INTEGER) AS waiting,
    CAST(COALESCE(summed_up.withdrawn, 0) AS INTEGER) AS withdrawn
FROM store.feeds
LEFT JOIN receipt_rows ON receipt_rows.feed = feeds.feed
LEFT JOIN summed_up ON summed_up.feed = feeds.feed
