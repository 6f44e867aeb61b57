-- question: Who needs someone today or tomorrow, and what is wrong?
-- beware:   one row for each finding: count people with count(DISTINCT client_id); equipment has a list of its own
-- figure:   the first sentence of the weekly audit
SELECT w.rank, w.client_id, w.team, w.clinician, f.title, f.due_on, f.days_overdue, f.evidence
FROM audit.worklist AS w
JOIN audit.findings AS f ON f.client_id = w.client_id
WHERE f.severity = 'urgent' AND f.is_shown AND f.list_name = 'people'
ORDER BY w.rank, f.rule_position, f.finding_id
