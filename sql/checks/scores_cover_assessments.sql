-- question: Has every assessment that stands one score, and one only?
-- inputs:   risk.scores, records.assessments
-- beware:   a score is found by looking an assessment up, which can lose none and could double some
SELECT scored.n AS scores, standing.n AS assessments
FROM (SELECT COUNT(*) AS n FROM risk.scores) AS scored
CROSS JOIN (SELECT COUNT(*) AS n FROM records.assessments) AS standing
WHERE scored.n <> standing.n
