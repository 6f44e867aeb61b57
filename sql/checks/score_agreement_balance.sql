-- question: Is every assessment in one class of agreement, and in one team?
-- inputs:   quality.score_agreement, risk.scores
SELECT summed.scored, counted.scored AS assessments
FROM (
    SELECT
        COALESCE(SUM(score_agreement.scored), 0) AS scored,
        COALESCE(SUM(
            score_agreement.agreed + score_agreement.differing + score_agreement.unchecked
            + score_agreement.incomplete + score_agreement.not_stated
        ), 0) AS in_a_class
    FROM quality.score_agreement
) AS summed
CROSS JOIN (SELECT COUNT(*) AS scored FROM risk.scores) AS counted
WHERE summed.scored <> counted.scored OR summed.in_a_class <> counted.scored
