-- question: From which stage to which did injuries go between one look and the next, and may they?
-- grain:    one row per month, team, stage before and stage after, and the same for all teams
-- key:      month, team?, from_stage, to_stage
-- inputs:   trends.months, trends.stays, wounds.course, policy.transitions
-- beware:   from is the stage the wound was at by then, all looks so far considered; to is the stage that the look was sent with
-- columns:
--   month       date     first day of the month of the later look
--   team        text     the team on the day of the later look; blank for all teams
--   from_stage  text     the stage before; new before the first look, closed_ and the stage after a look that found it closed
--   to_stage    text     the stage after; closed where the look found it closed
--   transition  code allowed|review|error  by the published matrix; blank where a look was not staged
--   looks       integer  looks that made this step
-- A healing stage 4 that is called a 3 is an error of the record and no healing, so the step is from what the wound was
-- by then. A stage 2 that the look itself contradicts still counts as called, or nobody could ever go below it.
WITH looks AS (
    SELECT
        course.injury_id,
        course.client_id,
        course.look,
        CAST(course.observed_at AS DATE) AS observed_on,
        CASE WHEN course.is_closed THEN 'closed' ELSE course.recorded_stage END AS to_stage,
        CASE WHEN course.is_closed THEN 'closed_' ELSE '' END
            || CASE
                WHEN course.effective_stage <> 'not_staged' THEN course.effective_stage
                WHEN course.location = 'mucosa' THEN 'mucosal'
                ELSE course.recorded_stage
            END AS left_at
    FROM wounds.course
    -- What another cause made has no stages to go through.
    WHERE COALESCE(course.cause, 'pressure') IN ('pressure', 'not_settled')
),
moves AS (
    SELECT
        looks.client_id,
        looks.observed_on,
        COALESCE(LAG(looks.left_at) OVER (PARTITION BY looks.injury_id ORDER BY looks.look), 'new') AS from_stage,
        looks.to_stage
    FROM looks
),
placed AS (
    SELECT
        months.month,
        CASE WHEN here.client_id IS NOT NULL THEN here.team ELSE leaving.team END AS team,
        moves.from_stage,
        moves.to_stage
    FROM moves
    INNER JOIN trends.months ON moves.observed_on BETWEEN months.month AND months.last_day
    LEFT JOIN trends.stays AS here
        ON here.client_id = moves.client_id AND here.from_on <= moves.observed_on AND here.until_on > moves.observed_on
    LEFT JOIN trends.stays AS leaving ON leaving.client_id = moves.client_id AND leaving.until_on = moves.observed_on
),
summed AS (
    SELECT placed.month, placed.team, placed.from_stage, placed.to_stage, COUNT(*) AS looks
    FROM placed
    WHERE placed.team IS NOT NULL
    GROUP BY placed.month, placed.team, placed.from_stage, placed.to_stage
    UNION ALL
    SELECT placed.month, CAST(NULL AS VARCHAR) AS team, placed.from_stage, placed.to_stage, COUNT(*) AS looks
    FROM placed
    GROUP BY placed.month, placed.from_stage, placed.to_stage
)
SELECT
    summed.month,
    summed.team,
    summed.from_stage,
    summed.to_stage,
    transitions.transition,
    CAST(summed.looks AS INTEGER) AS looks
FROM summed
LEFT JOIN policy.transitions ON transitions.from_stage = summed.from_stage AND transitions.to_stage = summed.to_stage
ORDER BY summed.month, summed.team NULLS FIRST, summed.from_stage, summed.to_stage
