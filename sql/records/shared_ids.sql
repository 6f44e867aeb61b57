-- question: Which ids do several sources use, each for a record of its own?
-- grain:    one row per feed and id
-- key:      feed, record_id
-- inputs:   records.receipts, store.accepted
-- beware:   elsewhere such a record's id is followed by @ and the name of its source
-- columns:
--   feed       text  the feed
--   record_id  id    the id, as the sources write it
-- Only a feed with several sources can have one id for two records, so the others are never counted. A person is one
-- to all sources, and so is a merge.
WITH shared_feeds AS (
    SELECT feed
    FROM records.receipts
    WHERE feed NOT IN ('clients', 'merges')
    GROUP BY feed
    HAVING MIN(source) <> MAX(source)
)
SELECT accepted.feed, accepted.record_id
FROM store.accepted
INNER JOIN shared_feeds ON shared_feeds.feed = accepted.feed
INNER JOIN records.receipts ON receipts.file_key = accepted.file_key
WHERE receipts.standing = 'live'
GROUP BY accepted.feed, accepted.record_id
HAVING COUNT(DISTINCT receipts.source) > 1
