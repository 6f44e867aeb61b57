-- Which facts are wanting, why, and which rules wait for each?
SELECT t.rank, coalesce(l.label, replace(u.column_name, '_', ' ')) AS label, u.column_name, u.why, u.rules
FROM (
    SELECT named.column_name, named.why, string_agg(named.title, '; ' ORDER BY named.position, named.title) AS rules
    FROM (
        SELECT DISTINCT n.column_name, n.why, coalesce(r.title, n.rule) AS title, r.position
        FROM audit.unknowns AS n
        LEFT JOIN policy.rules AS r ON r.rule = n.rule
        WHERE n.client_id = $client_id
    ) AS named
    GROUP BY named.column_name, named.why
) AS u
LEFT JOIN audit.to_ask AS t ON t.client_id = $client_id AND t.column_name = u.column_name
LEFT JOIN policy.labels AS l ON l.kind = 'column' AND l.code = u.column_name
ORDER BY t.rank NULLS LAST, u.column_name, u.why
