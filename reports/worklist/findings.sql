-- Which findings does each person have to be seen about, worst first?
SELECT f.client_id, f.finding_id, f.title, f.severity, f.status, f.answer, f.since_on, f.since_is_known, f.due_on,
       f.days_overdue, f.consider, f.evidence, f.list_name = 'equipment' AS is_equipment
FROM audit.findings AS f
LEFT JOIN policy.severities AS s ON s.severity = f.severity
WHERE f.is_shown
ORDER BY f.client_id, s.position NULLS LAST, f.never_softened DESC, f.rule_position,
         f.days_overdue DESC, f.finding_id
