-- question: Does a score with some items missing stay without total and band?
-- inputs:   risk.scores, records.assessment_items
SELECT DISTINCT scores.assessment_id
FROM risk.scores
INNER JOIN records.assessment_items ON assessment_items.assessment_id = scores.assessment_id
WHERE NOT scores.is_complete
    AND (scores.recomputed_total IS NOT NULL OR scores.band IS NOT NULL OR scores.risk_rung IS NOT NULL)
