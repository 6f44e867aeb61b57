-- Of the people with each level of need in each position, how many have a surface that meets it?
SELECT n.position, n.need_level, coalesce(l.label, n.need_level) AS need_words,
       CAST(count(*) AS INTEGER) AS people,
       CAST(count(*) FILTER (WHERE p.verdict = 'matched') AS INTEGER) AS matched,
       CAST(count(*) FILTER (WHERE p.verdict = 'under_provided') AS INTEGER) AS under_provided,
       CAST(count(*) FILTER (WHERE p.verdict = 'contraindicated') AS INTEGER) AS contraindicated,
       CAST(count(*) FILTER (WHERE p.verdict = 'over_provided') AS INTEGER) AS over_provided,
       CAST(count(*) FILTER (WHERE p.verdict = 'unknown') AS INTEGER) AS unknown
FROM fit.need AS n
JOIN fit.provision AS p ON p.client_id = n.client_id AND p.position = n.position
LEFT JOIN policy.labels AS l ON l.kind = 'need' AND l.code = n.need_level
WHERE p.is_asked
GROUP BY n.position, n.need_level, l.label
ORDER BY n.position,
         CASE n.need_level WHEN 'very_high' THEN 1 WHEN 'high' THEN 2 WHEN 'at_risk' THEN 3 WHEN 'low' THEN 4 ELSE 5 END,
         n.need_level
