-- Which surface do they wait for?
SELECT w.client_id, w.position, w.surface_class, w.loan_status, w.days_waiting, w.waiting_since_on
FROM audit.waiting AS w
WHERE list_contains($people, w.client_id)
ORDER BY w.client_id, w.waiting_since_on, w.loan_id
