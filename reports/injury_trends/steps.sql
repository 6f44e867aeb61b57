-- Which steps from stage to stage in the months shown cannot be, or are worth a second look at the record?
SELECT t.from_stage, t.to_stage, t.transition, CAST(sum(t.looks) AS INTEGER) AS looks, p.why
FROM trends.stage_transitions AS t
JOIN policy.transitions AS p ON p.from_stage = t.from_stage AND p.to_stage = t.to_stage
WHERE t.team IS NULL AND t.transition <> 'allowed'
GROUP BY t.from_stage, t.to_stage, t.transition, p.why
ORDER BY t.transition, looks DESC, t.from_stage, t.to_stage
