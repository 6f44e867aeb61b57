-- Which facts are missing for most people, those included that a feed would tell that never came?
SELECT coalesce(l.label, replace(u.column_name, '_', ' ')) AS label, u.why,
       CAST(count(DISTINCT u.client_id) AS INTEGER) AS people
FROM audit.unknowns AS u
LEFT JOIN policy.labels AS l ON l.kind = 'column' AND l.code = u.column_name
GROUP BY coalesce(l.label, replace(u.column_name, '_', ' ')), u.why
ORDER BY people DESC, label, u.why
LIMIT 10
