-- Of the people with each level of need in each position, how many have a surface that meets it?
SELECT n.position, n.need_level,
       CAST(count(*) AS INTEGER) AS people,
       CAST(count(*) FILTER (WHERE p.verdict = 'matched') AS INTEGER) AS matched,
       CAST(count(*) FILTER (WHERE p.verdict = 'under_provided') AS INTEGER) AS under_provided,
       CAST(count(*) FILTER (WHERE p.verdict = 'contraindicated') AS INTEGER) AS contraindicated,
       CAST(count(*) FILTER (WHERE p.verdict = 'over_provided') AS INTEGER) AS over_provided,
       CAST(count(*) FILTER (WHERE p.verdict = 'unknown') AS INTEGER) AS unknown
FROM fit.need AS n
JOIN fit.provision AS p ON p.client_id = n.client_id AND p.position = n.position
LEFT JOIN policy.need_levels AS l ON l.need_level = n.need_level
GROUP BY n.position, n.need_level, l.rung
ORDER BY n.position, l.rung DESC NULLS LAST, n.need_level
