-- question: Whose comfort goals or recorded declines may quieten which kind of finding today?
-- grain:    one row per person and softening fact in force
-- key:      client_id, softened_by
-- inputs:   state.clients, records.circumstances, audit.worsened, policy.parameters, review.parameters
-- beware:   palliative alone softens nothing; a new or deeper injury ends it; what is softened never counts as a match
-- columns:
--   client_id    id    the person
--   softened_by  code comfort_first|declined_lying|declined_sitting|declined_heel|declined_turning  what may quieten
--   from_on      date  day the goals were reviewed, or of the decline
--   until_on     date  last day on which it holds
WITH goals AS (
    SELECT forms.client_id, MAX(forms.goals_reviewed_on) AS reviewed_on
    FROM records.circumstances AS forms
    WHERE forms.goals_reviewed_on IS NOT NULL
    GROUP BY forms.client_id
),
shelf_life AS (
    SELECT CAST(MAX(parameters.amount) AS INTEGER) AS days
    FROM policy.parameters AS parameters
    WHERE parameters.name = 'goals_review_days'
),
stated AS (
    SELECT
        clients.client_id,
        'comfort_first' AS softened_by,
        goals.reviewed_on AS from_on,
        goals.reviewed_on + shelf_life.days AS until_on
    FROM state.clients AS clients
    INNER JOIN goals ON goals.client_id = clients.client_id
    CROSS JOIN shelf_life
    WHERE clients.comfort_first
    UNION ALL
    SELECT
        clients.client_id,
        things.softened_by,
        clients.declined_on AS from_on,
        clients.decline_review_on AS until_on
    FROM state.clients AS clients
    CROSS JOIN (
        VALUES ('declined_lying'), ('declined_sitting'), ('declined_heel'), ('declined_turning')
    ) AS things (softened_by)
    WHERE clients.decline_recorded_fully
        AND CASE things.softened_by
            WHEN 'declined_lying' THEN clients.declined_lying
            WHEN 'declined_sitting' THEN clients.declined_sitting
            WHEN 'declined_heel' THEN clients.declined_heel
            ELSE clients.declined_turning
        END
)
SELECT
    stated.client_id,
    stated.softened_by,
    stated.from_on,
    stated.until_on
FROM stated
CROSS JOIN review.parameters AS parameters
LEFT JOIN audit.worsened AS worsened ON worsened.client_id = stated.client_id
WHERE stated.from_on IS NOT NULL
    AND stated.until_on >= parameters.as_of
    AND COALESCE(worsened.injury_on <= stated.from_on, TRUE)
ORDER BY stated.client_id, stated.softened_by
