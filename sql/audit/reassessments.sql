-- question: When is each person's risk to be scored again, and is that late?
-- grain:    one row per person on the caseload
-- key:      client_id
-- inputs:   state.clients, state.clocks, state.risks, state.wounds, state.condition_changes, state.feeds_heard, risk.latest,
--           risk.lapsing, risk.local_bands, policy.intervals, review.parameters
-- beware:   exactly at the limit is in time; without a time of day nothing is late by hours; an incomplete score restarts nothing
-- columns:
--   client_id         id                         the person
--   placement_id      id                         the placement in force
--   team              text                       the person's team
--   clinician         text                       the person's clinician
--   kind              code first|routine|change  first until a complete score of this stay exists; change: something changed since, or points lapse, and that decides
--   scale             text                       the scale of the last complete score
--   last_at           timestamp                  when that was scored
--   last_at_has_time  boolean                    that is an instant, not a day alone
--   due_at            timestamp                  last moment in time, or the last day in time
--   due_at_has_time   boolean                    due_at is an instant; otherwise the whole day is in time
--   due_on            date                       the day of it
--   status            code not_due|due|overdue|never|cannot_tell  never: no usable score of this person ever, and the first window has passed
--   days_overdue      integer                    calendar days past the due day; 0 while in time
--   interval_id       id                         the interval of the policy that decides
WITH usable AS (
    SELECT
        latest.client_id,
        latest.scale,
        latest.assessment_id,
        latest.assessed_at,
        latest.assessed_at_has_time,
        COALESCE(local_bands.risk_rung, latest.risk_rung) AS risk_rung,
        ROW_NUMBER() OVER (
            PARTITION BY latest.client_id
            ORDER BY latest.assessed_at DESC, COALESCE(local_bands.risk_rung, latest.risk_rung) DESC, latest.scale
        ) AS newest
    FROM risk.latest AS latest
    LEFT JOIN risk.local_bands AS local_bands
        ON local_bands.client_id = latest.client_id AND local_bands.scale = latest.scale
    WHERE latest.band IS NOT NULL AND COALESCE(latest.suits_age, TRUE)
),
people AS (
    SELECT
        clients.client_id,
        clients.placement_id,
        clients.team,
        clients.clinician,
        clocks.care_setting,
        clocks.former_setting,
        clocks.began_at,
        clocks.window_from_at,
        clocks.window_from_at_has_time,
        clocks.paused_from_on,
        clocks.paused_days,
        usable.scale,
        usable.assessment_id,
        usable.assessed_at AS last_at,
        usable.assessed_at_has_time AS last_at_has_time,
        GREATEST(usable.risk_rung, risks.clinician_rung) AS risk_rung,
        wounds.open_count > 0 AS has_wound,
        -- A day alone is compared as a day, so a score on the day of arrival counts as one of this stay.
        COALESCE(
            CASE
                WHEN clocks.began_at_has_time AND usable.assessed_at_has_time THEN usable.assessed_at >= clocks.began_at
                ELSE CAST(usable.assessed_at AS DATE) >= CAST(clocks.began_at AS DATE)
            END,
            FALSE
        ) AS scored_here,
        parameters.as_of,
        parameters.looked_at,
        heard.assessments_heard
    FROM state.clients AS clients
    CROSS JOIN review.parameters AS parameters
    CROSS JOIN state.feeds_heard AS heard
    LEFT JOIN state.clocks AS clocks ON clocks.client_id = clients.client_id
    LEFT JOIN usable ON usable.client_id = clients.client_id AND usable.newest = 1
    LEFT JOIN state.risks AS risks ON risks.client_id = clients.client_id
    LEFT JOIN state.wounds AS wounds ON wounds.client_id = clients.client_id
),
bases AS (
    SELECT
        people.client_id,
        'first' AS kind,
        CAST(NULL AS VARCHAR) AS change_kind,
        people.care_setting,
        people.risk_rung,
        people.has_wound,
        people.window_from_at AS base_at,
        people.window_from_at_has_time AS base_at_has_time,
        CAST(NULL AS INTEGER) AS stay_day,
        CAST(NULL AS VARCHAR) AS scale,
        0 AS paused_days
    FROM people
    WHERE NOT people.scored_here
    UNION ALL
    -- After a move the old due date still holds where it is the earlier one.
    SELECT
        people.client_id,
        'routine' AS kind,
        CAST(NULL AS VARCHAR) AS change_kind,
        CASE WHEN people.scored_here THEN people.care_setting ELSE people.former_setting END AS care_setting,
        people.risk_rung,
        people.has_wound,
        people.last_at AS base_at,
        people.last_at_has_time AS base_at_has_time,
        -- A schedule belongs to a stay, so what was scored before this one has no day in it.
        CASE
            WHEN people.scored_here
                THEN CAST(date_diff('day', CAST(people.began_at AS DATE), CAST(people.last_at AS DATE)) AS INTEGER)
        END AS stay_day,
        people.scale,
        CASE
            WHEN CAST(people.last_at AS DATE) <= people.paused_from_on THEN people.paused_days
            ELSE 0
        END AS paused_days
    FROM people
    UNION ALL
    SELECT
        people.client_id,
        'change' AS kind,
        changes.change_kind,
        people.care_setting,
        people.risk_rung,
        FALSE AS has_wound,
        CAST(changes.changed_on AS TIMESTAMP) AS base_at,
        FALSE AS base_at_has_time,
        CAST(NULL AS INTEGER) AS stay_day,
        CAST(NULL AS VARCHAR) AS scale,
        0 AS paused_days
    FROM people
    INNER JOIN state.condition_changes AS changes ON changes.client_id = people.client_id
    UNION ALL
    SELECT
        people.client_id,
        'change' AS kind,
        'points' AS change_kind,
        people.care_setting,
        people.risk_rung,
        FALSE AS has_wound,
        people.last_at AS base_at,
        people.last_at_has_time AS base_at_has_time,
        CAST(NULL AS INTEGER) AS stay_day,
        CAST(NULL AS VARCHAR) AS scale,
        0 AS paused_days
    FROM people
    INNER JOIN risk.lapsing AS lapsing ON lapsing.assessment_id = people.assessment_id
    WHERE people.scored_here
),
terms AS (
    -- With a wound, or by a schedule, the next score is counted from the last one too.
    SELECT
        intervals.*,
        CASE WHEN intervals.kind IN ('wound', 'schedule') THEN 'routine' ELSE intervals.kind END AS base_kind
    FROM policy.intervals AS intervals
),
candidates AS (
    SELECT
        bases.client_id,
        bases.kind,
        intervals.interval_id,
        COALESCE(bases.base_at_has_time, FALSE) AND intervals.within_hours IS NOT NULL AND bases.paused_days = 0 AS has_time,
        bases.base_at + intervals.within_hours * INTERVAL '1' HOUR AS due_at,
        -- Hours counted from a day alone are that many days, begun ones included: never a breach of six hours.
        CAST(bases.base_at AS DATE) + bases.paused_days + COALESCE(
            intervals.within_days,
            CAST(CEIL(CAST(intervals.within_hours AS DECIMAL(9, 2)) / 24) AS INTEGER),
            intervals.every_stay_days - bases.stay_day % NULLIF(intervals.every_stay_days, 0)
        ) AS due_on
    FROM bases
    INNER JOIN terms AS intervals
        ON intervals.care_setting = bases.care_setting
        AND intervals.base_kind = bases.kind
        AND intervals.change_kind IS NOT DISTINCT FROM bases.change_kind
        AND (bases.has_wound OR intervals.kind <> 'wound')
        AND (intervals.risk_rung IS NULL OR intervals.risk_rung = bases.risk_rung)
        AND (intervals.stay_day_from IS NULL OR intervals.stay_day_from <= bases.stay_day)
        AND (intervals.stay_day_to IS NULL OR intervals.stay_day_to >= bases.stay_day)
        AND (intervals.scale IS NULL OR intervals.scale = bases.scale)
),
dated AS (
    SELECT candidates.* FROM candidates WHERE candidates.due_on IS NOT NULL
),
ranked AS (
    SELECT
        dated.*,
        ROW_NUMBER() OVER (
            PARTITION BY dated.client_id
            ORDER BY
                -- A due day is in time to its end, so it ranks after any moment of that day.
                CASE WHEN dated.has_time THEN dated.due_at ELSE CAST(dated.due_on + 1 AS TIMESTAMP) END,
                dated.interval_id
        ) AS earliest
    FROM dated
),
due AS (
    SELECT
        people.*,
        ranked.kind AS base_kind,
        ranked.interval_id,
        ranked.has_time AS due_at_has_time,
        CASE WHEN ranked.has_time THEN ranked.due_at ELSE CAST(ranked.due_on AS TIMESTAMP) END AS due_at,
        CASE WHEN ranked.has_time THEN CAST(ranked.due_at AS DATE) ELSE ranked.due_on END AS due_on,
        CASE WHEN ranked.has_time THEN people.looked_at > ranked.due_at ELSE people.as_of > ranked.due_on END AS is_late
    FROM people
    LEFT JOIN ranked ON ranked.client_id = people.client_id AND ranked.earliest = 1
)
SELECT
    due.client_id,
    due.placement_id,
    due.team,
    due.clinician,
    CASE
        WHEN NOT due.scored_here THEN 'first'
        WHEN due.base_kind = 'change' THEN 'change'
        ELSE 'routine'
    END AS kind,
    due.scale,
    due.last_at,
    due.last_at_has_time,
    due.due_at,
    due.due_at_has_time,
    due.due_on,
    CASE
        -- Silence of the whole feed must not accuse anybody of never having looked.
        WHEN due.last_at IS NULL AND NOT due.assessments_heard THEN 'cannot_tell'
        WHEN due.last_at IS NULL AND COALESCE(due.is_late, TRUE) THEN 'never'
        WHEN due.interval_id IS NULL THEN 'cannot_tell'
        WHEN due.is_late THEN 'overdue'
        WHEN due.due_on = due.as_of THEN 'due'
        ELSE 'not_due'
    END AS status,
    CASE
        WHEN due.is_late AND (due.last_at IS NOT NULL OR due.assessments_heard)
            THEN CAST(date_diff('day', due.due_on, due.as_of) AS INTEGER)
        ELSE 0
    END AS days_overdue,
    due.interval_id
FROM due
ORDER BY due.client_id
