-- Which findings are true and stand on no list today, because a clinician answered them or because they are new?
SELECT f.finding_id, f.client_id, f.team, f.clinician, f.title, f.severity, f.status, f.since_on, f.since_is_known,
       f.answer, f.quiet_until
FROM audit.findings AS f
LEFT JOIN policy.severities AS s ON s.severity = f.severity
WHERE NOT f.is_shown AND NOT f.is_told_once AND f.status <> 'subsumed'
ORDER BY f.team NULLS LAST, f.clinician NULLS LAST, f.client_id, s.position NULLS LAST, f.rule_position, f.finding_id
