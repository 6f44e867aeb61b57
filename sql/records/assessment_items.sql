-- question: Which items were scored, and how?
-- grain:    one row per assessment and scored item
-- key:      assessment_id, item
-- inputs:   records.assessments
-- beware:   a blank item has no row
-- columns:
--   assessment_id  id      the assessment
--   client_id      id      the person
--   scale          text    the scale
--   item           text    the item, by its id in the policy
--   score          number  points given
SELECT
    opened.assessment_id,
    opened.client_id,
    opened.scale,
    opened.entry.item AS item,
    opened.entry.score AS score
FROM (
    SELECT
        assessment_id,
        client_id,
        scale,
        UNNEST(items) AS entry
    FROM records.assessments
) AS opened
