-- question: Which people's newest usable score holds points that count for a while only?
-- grain:    one row per person and scale with such points
-- key:      client_id, scale
-- inputs:   risk.latest, records.assessments, policy.scale_items
-- beware:   nothing is taken off a score by itself: it asks for a new one, and only that may be lower
-- columns:
--   client_id      id    the person
--   scale          text  the scale
--   assessment_id  id    the score that holds them
WITH told AS (
    SELECT
        latest.client_id,
        assessments.scale,
        assessments.assessment_id,
        CAST(assessments.assessed_at AS DATE) AS assessed_on,
        UNNEST(STRING_SPLIT(assessments.items, '; ')) AS entry
    FROM records.assessments AS assessments
    INNER JOIN risk.latest AS latest ON latest.assessment_id = assessments.assessment_id
    -- Most scales hold no such points, so that most assessments are never opened.
    WHERE assessments.scale IN (SELECT scale_items.scale FROM policy.scale_items AS scale_items WHERE scale_items.lapses)
)
SELECT DISTINCT told.client_id, told.scale, told.assessment_id
FROM told
INNER JOIN policy.scale_items AS scale_items
    ON scale_items.lapses
    AND scale_items.scale = told.scale
    AND scale_items.item = SPLIT_PART(told.entry, ' ', 1)
    AND scale_items.effective_from <= told.assessed_on
    AND (scale_items.effective_to IS NULL OR scale_items.effective_to > told.assessed_on)
WHERE CAST(SPLIT_PART(told.entry, ' ', 2) AS DECIMAL(18, 4)) <> 0
