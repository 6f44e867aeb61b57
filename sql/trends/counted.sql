-- question: On which day does each pressure injury count, for which team, and did it arise there?
-- grain:    one row per injury and event
-- key:      injury_id, event
-- inputs:   wounds.course, records.injuries, trends.stays, policy.stages
-- beware:   an injury counts once per event, at its first look that qualifies; one first seen on a day without a stay has no team and counts nowhere
-- columns:
--   injury_id       id                             the injury
--   event           code found|full_thickness      first look of all, or first look at full thickness or deep
--   client_id       id                             the person
--   counted_on      date                           day of that look
--   stage           code injuries.stage            found: the first stage anybody gave it; full_thickness: the stage at that look
--   origin          code present|acquired|unknown  there on arrival, arose on the caseload, or not recorded
--   has_deepened    boolean                        full_thickness: an earlier look found it shallower
--   is_on_caseload  boolean                        the person was on the caseload on that day, or left on it
--   team            text                           the team on that day
-- A cause that is not settled counts until it is settled as something else, as in the weekly audit. A deep-tissue or
-- unstageable injury that opens to a stage 3 or 4 was already counted. Depth that a shallower injury reaches on the
-- caseload arose there, whoever brought the injury.
WITH looks AS (
    SELECT
        course.injury_id,
        course.client_id,
        course.look,
        CAST(course.observed_at AS DATE) AS observed_on,
        course.effective_stage,
        course.cause,
        stages.is_full_thickness,
        injuries.present_on_admission,
        ROW_NUMBER() OVER (PARTITION BY course.injury_id ORDER BY course.look DESC) AS newest
    FROM wounds.course
    INNER JOIN records.injuries ON injuries.injury_observation_id = course.injury_observation_id
    LEFT JOIN policy.stages ON stages.stage = course.effective_stage
),
described AS (
    SELECT
        looks.injury_id,
        MIN(CASE WHEN looks.is_full_thickness THEN looks.look END) AS deep_look,
        MIN(CASE WHEN looks.is_full_thickness IS NOT NULL THEN looks.look END) AS measured_look,
        ARG_MIN(
            looks.present_on_admission, CASE WHEN looks.present_on_admission IN ('yes', 'no') THEN looks.look END
        ) AS present_on_admission,
        ARG_MIN(looks.effective_stage, CASE WHEN looks.effective_stage <> 'not_staged' THEN looks.look END) AS first_stage
    FROM looks
    GROUP BY looks.injury_id
    HAVING COUNT(CASE WHEN looks.newest = 1 AND COALESCE(looks.cause, 'pressure') IN ('pressure', 'not_settled') THEN 1 END) > 0
),
events AS (
    SELECT
        looks.injury_id,
        'found' AS event,
        looks.client_id,
        looks.observed_on,
        COALESCE(described.first_stage, 'not_staged') AS stage,
        CASE described.present_on_admission WHEN 'yes' THEN 'present' WHEN 'no' THEN 'acquired' ELSE 'unknown' END AS origin,
        FALSE AS has_deepened
    FROM looks
    INNER JOIN described ON described.injury_id = looks.injury_id
    WHERE looks.look = 1
    UNION ALL
    SELECT
        looks.injury_id,
        'full_thickness' AS event,
        looks.client_id,
        looks.observed_on,
        looks.effective_stage AS stage,
        CASE
            WHEN described.measured_look <> described.deep_look THEN 'acquired'
            WHEN described.present_on_admission = 'yes' THEN 'present'
            WHEN described.present_on_admission = 'no' THEN 'acquired'
            ELSE 'unknown'
        END AS origin,
        -- The first look that tells how deep it is found it shallower.
        described.measured_look <> described.deep_look AS has_deepened
    FROM looks
    INNER JOIN described ON described.injury_id = looks.injury_id AND described.deep_look = looks.look
)
SELECT
    events.injury_id,
    events.event,
    events.client_id,
    events.observed_on AS counted_on,
    events.stage,
    events.origin,
    events.has_deepened,
    here.client_id IS NOT NULL OR leaving.client_id IS NOT NULL AS is_on_caseload,
    CASE WHEN here.client_id IS NOT NULL THEN here.team ELSE leaving.team END AS team
FROM events
LEFT JOIN trends.stays AS here
    ON here.client_id = events.client_id AND here.from_on <= events.observed_on AND here.until_on > events.observed_on
-- Who is found with an injury on the day of leaving was found by the team that is left.
LEFT JOIN trends.stays AS leaving ON leaving.client_id = events.client_id AND leaving.until_on = events.observed_on
ORDER BY events.injury_id, events.event
