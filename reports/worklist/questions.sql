-- What should be asked at the visit? At most as many as policy asks of a person, those first that settle most.
SELECT t.client_id, t.rank, t.label, t.why
FROM audit.to_ask AS t
WHERE t.is_asked
ORDER BY t.client_id, t.rank, t.column_name
