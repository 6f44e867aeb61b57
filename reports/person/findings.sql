-- Which findings stand, worst first?
SELECT f.client_id, f.finding_id, f.title, f.severity, f.status, f.answer, f.since_on, f.since_is_known, f.due_on, f.days_overdue, f.consider,
       f.evidence, f.list_name
FROM audit.findings AS f
LEFT JOIN policy.severities AS s ON s.severity = f.severity
WHERE f.status <> 'subsumed' AND list_contains($people, f.client_id)
ORDER BY f.client_id, f.is_shown DESC, s.position NULLS LAST, f.never_softened DESC, f.rule_position,
         f.days_overdue DESC, f.finding_id
