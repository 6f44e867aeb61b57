-- question: Which items were scored, and how?
-- grain:    one row per assessment and scored item
-- key:      assessment_id, item
-- inputs:   records.assessments
-- beware:   a blank item has no row
-- stored:   view
-- columns:
--   assessment_id  id      the assessment
--   client_id      id      the person
--   scale          text    the scale
--   assessed_on    date    day of the assessment
--   item           text    the item, by its id in the policy
--   score          number  points given
SELECT
    opened.assessment_id,
    opened.client_id,
    opened.scale,
    opened.assessed_on,
    SPLIT_PART(opened.entry, ' ', 1) AS item,
    CAST(SPLIT_PART(opened.entry, ' ', 2) AS DECIMAL(18, 4)) AS score
FROM (
    SELECT
        assessments.assessment_id,
        assessments.client_id,
        assessments.scale,
        CAST(assessments.assessed_at AS DATE) AS assessed_on,
        UNNEST(STRING_SPLIT(assessments.items, '; ')) AS entry
    FROM records.assessments
) AS opened
