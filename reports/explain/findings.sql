-- What is true of this person, on which evidence, since when, due when, and what became of it?
SELECT f.finding_id, f.rule, f.about, f.loan_id, f.injury_id, f.severity, f.status, f.answer, f.quiet_until,
       f.is_shown, f.since_on,
       f.since_is_known, f.due_on, f.days_overdue, f.evidence, f.family, f.title, f.consider, f.basis, f.source,
       f.never_softened, h.title AS hidden_by, f.action_id, a.outcome, a.acted_on, a.review_on,
       f.is_told_once
FROM audit.findings AS f
LEFT JOIN policy.severities AS s ON s.severity = f.severity
LEFT JOIN audit.findings AS h ON h.finding_id = f.subsumed_by
LEFT JOIN records.actions AS a ON a.action_id = f.action_id
WHERE f.client_id = $client_id
ORDER BY f.is_shown DESC, s.position NULLS LAST, f.never_softened DESC, f.rule_position,
         f.days_overdue DESC, f.finding_id
