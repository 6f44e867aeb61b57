-- Which surfaces are still out with somebody who has left the caseload, and since when?
SELECT c.loan_id, c.client_id, c.team, c.clinician, c.surface_class, c.position, c.owner, c.left_on, c.end_reason, c.days_since_left
FROM audit.to_collect AS c
ORDER BY c.days_since_left DESC, c.client_id, c.loan_id
