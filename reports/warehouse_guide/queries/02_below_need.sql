-- question: Who lies on less than they need, on what, and since when?
-- beware:   "unknown" is a verdict of its own and not in here: who cannot be judged may be no better off
-- figure:   Mattress, "below it", in the weekly audit
SELECT p.client_id, c.team, n.need_level, p.surface_class, l.issued_on, l.days_since_issued,
       n.reasons
FROM fit.provision AS p
JOIN fit.need AS n ON n.client_id = p.client_id AND n.position = p.position
JOIN state.clients AS c ON c.client_id = p.client_id
LEFT JOIN state.loans AS l ON l.client_id = p.client_id AND l.loan_id = p.loan_id
WHERE p.position = 'lying' AND p.verdict = 'under_provided'
ORDER BY n.need_rung DESC NULLS LAST, p.client_id
