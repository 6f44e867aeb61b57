-- Which surfaces need somebody to see to them, apart from any visit to a person?
SELECT f.finding_id, f.client_id, f.team, f.clinician, f.title, f.severity, f.status, f.answer, f.since_on,
       f.since_is_known,
       f.due_on, f.days_overdue, f.consider, f.evidence, f.loan_id, l.surface_class, l.position, l.owner
FROM audit.findings AS f
LEFT JOIN policy.severities AS s ON s.severity = f.severity
LEFT JOIN state.loans AS l ON l.client_id = f.client_id AND l.loan_id = f.loan_id
WHERE f.is_shown AND f.list_name = 'equipment'
ORDER BY s.position NULLS LAST, f.days_overdue DESC, f.rule_position, f.client_id, f.finding_id
