-- question: Which missing facts keep the most people from being judged, and why are they missing?
-- beware:   not known is not safe: these people are not among those found to be well
SELECT u.column_name, l.label, u.why,
       count(DISTINCT u.client_id) AS people,
       count(DISTINCT u.rule) AS rules
FROM audit.unknowns AS u
LEFT JOIN policy.labels AS l ON l.kind = 'column' AND l.code = u.column_name
GROUP BY u.column_name, l.label, u.why
ORDER BY people DESC, rules DESC, u.column_name, u.why
