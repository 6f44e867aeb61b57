-- question: Is every assessment that stands in one class of agreement, once, and in one team?
-- inputs:   quality.score_agreement, records.assessments
-- beware:   a score is found by looking an assessment up, which can lose none and could double some; these counts go by way of the scores
SELECT summed.scored, standing.scored AS assessments
FROM (
    SELECT
        COALESCE(SUM(score_agreement.scored), 0) AS scored,
        COALESCE(SUM(
            score_agreement.agreed + score_agreement.differing + score_agreement.unchecked
            + score_agreement.incomplete + score_agreement.not_stated
        ), 0) AS in_a_class
    FROM quality.score_agreement
) AS summed
CROSS JOIN (SELECT COUNT(*) AS scored FROM records.assessments) AS standing
WHERE summed.scored <> standing.scored OR summed.in_a_class <> standing.scored
