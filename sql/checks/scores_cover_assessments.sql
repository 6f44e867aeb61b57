-- question: Does every assessment that stands have one score, and nothing else?
-- inputs:   records.assessments, risk.scores
-- beware:   a score is found by looking an assessment up, which can lose none, so as many rows are the same rows
SELECT scored.rows AS scores, standing.rows AS assessments
FROM (SELECT COUNT(*) AS rows FROM risk.scores) AS scored
CROSS JOIN (SELECT COUNT(*) AS rows FROM records.assessments) AS standing
WHERE scored.rows <> standing.rows
