-- What should be asked at the visit? At most five a person, those first that settle most.
SELECT t.client_id, t.rank, t.label, t.why
FROM audit.to_ask AS t
WHERE t.rank <= 5 AND t.why <> 'feed_absent'
ORDER BY t.client_id, t.rank, t.column_name
