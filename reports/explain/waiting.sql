-- Which surfaces are asked for and not there yet, and since when?
SELECT loan_id, position, surface_class, owner, loan_status, waiting_since_on, days_waiting
FROM audit.waiting
WHERE client_id = $client_id
ORDER BY position, waiting_since_on NULLS FIRST, loan_id
