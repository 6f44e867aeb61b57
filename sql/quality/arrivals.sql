-- question: When did each feed last arrive, and is it late?
-- grain:    one row per feed
-- key:      feed
-- inputs:   store.feeds, store.arrivals, records.receipts, review.parameters
-- beware:   a file that was seen before counts as an arrival; a withdrawn file does not
-- columns:
--   feed              text       the feed
--   has_arrived       boolean    at least one file of it has come in
--   last_received_at  timestamp  when the newest one came, in UTC
--   expected_days     integer    days within which the service expects the next; blank = none expected
--   days_since        integer    days since the newest one
--   is_late           boolean    expected, and either never came or came longer ago than expected
WITH newest AS (
    SELECT
        arrivals.feed,
        MAX(arrivals.received_at) AS received_at,
        MAX(arrivals.received_local) AS received_local
    FROM store.arrivals
    LEFT JOIN records.receipts ON receipts.file_key = arrivals.file_key
    WHERE COALESCE(receipts.standing, 'live') <> 'withdrawn'
    GROUP BY arrivals.feed
),
summed_up AS (
    SELECT
        feeds.feed,
        feeds.expected_days,
        newest.received_at,
        CAST(DATE_DIFF('day', CAST(newest.received_local AS DATE), CAST(parameters.looked_at AS DATE)) AS INTEGER)
            AS days_since
    FROM store.feeds
    CROSS JOIN review.parameters
    LEFT JOIN newest ON newest.feed = feeds.feed
)
SELECT
    feed,
    received_at IS NOT NULL AS has_arrived,
    received_at AS last_received_at,
    expected_days,
    days_since,
    COALESCE(expected_days IS NOT NULL AND (days_since IS NULL OR days_since > expected_days), FALSE) AS is_late
FROM summed_up
