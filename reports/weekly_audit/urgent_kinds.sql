-- What is it about, for everybody who needs somebody today or tomorrow: their leading reasons, by family of rules?
SELECT r.family, CAST(count(*) AS INTEGER) AS people
FROM audit.worklist AS w
LEFT JOIN policy.rules AS r ON r.rule = w.first_rule
WHERE w.level = 'urgent'
GROUP BY r.family
ORDER BY min(w.rank)
