-- question: Does an assessment with some items missing never have a total or a band?
-- inputs:   risk.scores
SELECT scores.assessment_id
FROM risk.scores
WHERE (NOT scores.is_complete AND (scores.recomputed_total IS NOT NULL OR scores.recomputed_band IS NOT NULL))
    OR (scores.risk_rung IS NULL AND scores.band IS NOT NULL)
    OR (scores.band IS NULL AND scores.basis_of_band IS NOT NULL)
