-- question: Which pressure injuries were first seen since the audit before?
-- grain:    one row per injury of a person on the caseload first seen after the day of the audit before
-- key:      injury_id
-- inputs:   wounds.course, records.injuries, state.clients, policy.stages, review.parameters
-- beware:   first seen is not when it began; origin stays unknown where nobody wrote whether it was there on arrival
-- columns:
--   injury_id          id                             the injury
--   client_id          id                             the person
--   team               text                           the person's team
--   first_seen_on      date                           first look
--   is_full_thickness  boolean                        full thickness or deep at any look so far
--   origin             code present|acquired|unknown  there on arrival, arose on the caseload, or not recorded
-- What the newest look calls the cause holds for the wound, as in the trends: one that was not settled counts until it is
-- settled as something else.
WITH first_looks AS (
    SELECT course.injury_id, course.client_id, CAST(course.observed_at AS DATE) AS first_seen_on
    FROM wounds.course AS course
    CROSS JOIN review.parameters AS parameters
    WHERE course.look = 1
        AND CAST(course.observed_at AS DATE) > parameters.previous_as_of
),
looks AS (
    SELECT
        first_looks.injury_id,
        stages.is_full_thickness,
        injuries.present_on_admission,
        COALESCE(course.cause, 'pressure') AS cause,
        ROW_NUMBER() OVER (PARTITION BY first_looks.injury_id ORDER BY course.look DESC) AS newest,
        ROW_NUMBER() OVER (
            PARTITION BY first_looks.injury_id
            ORDER BY COALESCE(injuries.present_on_admission IN ('yes', 'no'), FALSE) DESC, course.look
        ) AS place
    FROM first_looks
    INNER JOIN wounds.course AS course ON course.injury_id = first_looks.injury_id
    INNER JOIN records.injuries AS injuries ON injuries.injury_observation_id = course.injury_observation_id
    LEFT JOIN policy.stages AS stages ON stages.stage = course.effective_stage
),
told AS (
    SELECT
        looks.injury_id,
        COUNT(CASE WHEN looks.is_full_thickness THEN 1 END) AS deep_looks,
        MAX(CASE WHEN looks.place = 1 THEN looks.present_on_admission END) AS present_on_admission
    FROM looks
    GROUP BY looks.injury_id
    HAVING MAX(CASE WHEN looks.newest = 1 THEN looks.cause END) IN ('pressure', 'not_settled')
)
SELECT
    first_looks.injury_id,
    first_looks.client_id,
    clients.team,
    first_looks.first_seen_on,
    told.deep_looks > 0 AS is_full_thickness,
    CASE told.present_on_admission WHEN 'yes' THEN 'present' WHEN 'no' THEN 'acquired' ELSE 'unknown' END AS origin
FROM first_looks
INNER JOIN told ON told.injury_id = first_looks.injury_id
INNER JOIN state.clients AS clients ON clients.client_id = first_looks.client_id
ORDER BY first_looks.injury_id
