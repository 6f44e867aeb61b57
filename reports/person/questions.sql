-- What should be asked at the next visit?
SELECT t.client_id, t.label, t.why, t.is_asked, t.rank
FROM audit.to_ask AS t
WHERE list_contains($people, t.client_id)
ORDER BY t.client_id, t.rank, t.column_name
