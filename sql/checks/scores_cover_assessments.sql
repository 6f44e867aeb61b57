-- question: Does every assessment that stands have one score, and nothing else?
-- inputs:   records.assessments, risk.scores
SELECT COALESCE(assessments.assessment_id, scores.assessment_id) AS assessment_id
FROM records.assessments
FULL OUTER JOIN risk.scores ON scores.assessment_id = assessments.assessment_id
WHERE assessments.assessment_id IS NULL OR scores.assessment_id IS NULL
