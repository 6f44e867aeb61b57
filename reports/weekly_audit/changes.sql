-- How many findings of each urgency are new, still stand, or are resolved since the audit before?
SELECT c.severity,
       CAST(count(*) FILTER (WHERE c.change = 'new') AS INTEGER) AS new,
       CAST(count(*) FILTER (WHERE c.change = 'standing') AS INTEGER) AS standing,
       CAST(count(*) FILTER (WHERE c.change = 'resolved') AS INTEGER) AS resolved
FROM audit.changes AS c
LEFT JOIN policy.severities AS s ON s.severity = c.severity
GROUP BY c.severity, s.position
ORDER BY s.position NULLS LAST, c.severity
