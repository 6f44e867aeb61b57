-- question: Is every fact that a rule waits for, and that somebody could tell, on the list of questions of that person?
-- inputs:   audit.unknowns, audit.to_ask
SELECT unknowns.client_id, unknowns.column_name
FROM audit.unknowns
LEFT JOIN audit.to_ask
    ON to_ask.client_id = unknowns.client_id AND to_ask.column_name = unknowns.column_name
WHERE to_ask.client_id IS NULL AND unknowns.why <> 'feed_absent'
