-- question: Of the people on the caseload on the last day of each month, how many have an open injury or a late reassessment?
-- grain:    one row per month and team with people, and one per month for everybody
-- key:      month, is_total, team?
-- inputs:   trends.months, trends.stays, wounds.course, risk.scores, policy.intervals, policy.need_levels, policy.parameters
-- beware:   worked out from what is known now, by the intervals in force now; people without any placement are left out
-- columns:
--   month              date     first day of the month
--   is_total           boolean  the row of everybody
--   team               text     the team; blank for everybody and for people without one
--   people             integer  people on the caseload at the end of the last day
--   injured_people     integer  of them, with an open injury that was looked at recently enough
--   unseen_people      integer  of them, with an open injury that nobody has looked at for longer than that
--   timed_people       integer  of them, with an interval that says when to score again
--   overdue_people     integer  of these, past it
-- Overdue here is plainer than in audit.reassessments: the newest usable score of this time on the caseload plus the
-- interval for today's setting and that score's rung, or the first window where there is none. A move does not bring the
-- day forward and a stay elsewhere does not put it off, because neither can be told for a past day as it was then.
WITH shelf_life AS (
    SELECT MAX(CASE WHEN parameters.name = 'injury_seen_within_days' THEN parameters.amount END) AS days
    FROM policy.parameters
),
looks AS (
    SELECT
        course.injury_id,
        course.client_id,
        CAST(course.observed_at AS DATE) AS observed_on,
        LEAD(CAST(course.observed_at AS DATE)) OVER (PARTITION BY course.injury_id ORDER BY course.look) AS next_on,
        course.is_closed,
        -- What the wound turned out to be holds for every look at it.
        LAST_VALUE(course.cause) OVER (
            PARTITION BY course.injury_id ORDER BY course.look ROWS BETWEEN UNBOUNDED PRECEDING AND UNBOUNDED FOLLOWING
        ) AS cause
    FROM wounds.course
),
open_then AS (
    SELECT
        months.month,
        looks.client_id,
        MAX(CASE WHEN DATE_DIFF('day', looks.observed_on, months.last_day) <= shelf_life.days THEN 1 ELSE 0 END) AS was_seen,
        MAX(CASE WHEN DATE_DIFF('day', looks.observed_on, months.last_day) > shelf_life.days THEN 1 ELSE 0 END) AS was_unseen
    FROM trends.months
    CROSS JOIN looks
    CROSS JOIN shelf_life
    WHERE looks.observed_on <= months.last_day
        AND (looks.next_on IS NULL OR looks.next_on > months.last_day)
        AND NOT looks.is_closed AND COALESCE(looks.cause, 'pressure') IN ('pressure', 'not_settled')
    GROUP BY months.month, looks.client_id
),
-- Of a person's scores in one month only the last can be the newest at a month's end, and on one day the worst counts.
-- Day and rung are put into one number, because a maximum costs less than an order.
usable AS (
    SELECT
        client_id,
        CAST(assessed_at AS DATE) AS scored_on,
        DATE_DIFF('day', DATE '1900-01-01', CAST(assessed_at AS DATE)) * 10 + risk_rung AS day_and_rung
    FROM risk.scores
    WHERE band IS NOT NULL AND COALESCE(suits_age, TRUE)
),
last_of_month AS (
    SELECT
        client_id,
        MAX(scored_on) AS scored_on,
        MAX(day_and_rung) % 10 AS risk_rung
    FROM usable
    GROUP BY client_id, EXTRACT(YEAR FROM scored_on), EXTRACT(MONTH FROM scored_on)
),
scored AS (
    SELECT
        client_id,
        risk_rung,
        scored_on,
        LEAD(scored_on) OVER (PARTITION BY client_id ORDER BY scored_on) AS next_on
    FROM last_of_month
),
people_then AS (
    SELECT
        months.month,
        months.last_day,
        stays.client_id,
        stays.team,
        stays.care_setting,
        COALESCE(open_then.was_seen, 0) AS was_seen,
        COALESCE(open_then.was_unseen, 0) AS was_unseen,
        scored.risk_rung,
        CASE WHEN scored.client_id IS NOT NULL THEN 'routine' ELSE 'first' END AS kind,
        COALESCE(scored.scored_on, stays.spell_from_on) AS base_on
    FROM trends.months
    INNER JOIN trends.stays ON stays.from_on <= months.last_day AND stays.until_on > months.last_day
    LEFT JOIN open_then ON open_then.month = months.month AND open_then.client_id = stays.client_id
    LEFT JOIN scored
        ON scored.client_id = stays.client_id
        AND scored.scored_on BETWEEN stays.spell_from_on AND months.last_day
        AND (scored.next_on IS NULL OR scored.next_on > months.last_day)
),
-- The shortest window for every setting, every kind of clock and every rung, with an open injury and without: worked out
-- once, because there are few of these and many month ends of people.
clock_kinds AS (
    SELECT 'first' AS kind, 0 AS is_injured
    UNION ALL
    SELECT 'routine' AS kind, 0 AS is_injured
    UNION ALL
    SELECT 'routine' AS kind, 1 AS is_injured
),
-- Whoever has no score yet has no rung, and only the windows of every rung are for them.
rungs AS (
    SELECT need_levels.rung FROM policy.need_levels
    UNION ALL
    SELECT CAST(NULL AS INTEGER) AS rung
),
windows AS (
    SELECT
        intervals.care_setting,
        clock_kinds.kind,
        clock_kinds.is_injured,
        rungs.rung AS risk_rung,
        -- Hours counted from a day alone are that many days, begun ones included.
        MIN(COALESCE(
            intervals.within_days, CAST(CEIL(CAST(intervals.within_hours AS DECIMAL(9, 2)) / 24) AS INTEGER)
        )) AS within_days
    FROM policy.intervals
    CROSS JOIN clock_kinds
    CROSS JOIN rungs
    WHERE (intervals.kind = clock_kinds.kind OR (intervals.kind = 'wound' AND clock_kinds.is_injured = 1))
        AND (intervals.risk_rung IS NULL OR intervals.risk_rung = rungs.rung)
    GROUP BY intervals.care_setting, clock_kinds.kind, clock_kinds.is_injured, rungs.rung
),
judged AS (
    SELECT
        people_then.month,
        people_then.team,
        people_then.was_seen,
        people_then.was_unseen,
        CASE WHEN people_then.base_on + windows.within_days IS NOT NULL THEN 1 ELSE 0 END AS is_timed,
        CASE WHEN people_then.last_day > people_then.base_on + windows.within_days THEN 1 ELSE 0 END AS is_overdue
    FROM people_then
    LEFT JOIN windows
        ON windows.care_setting = people_then.care_setting
        AND windows.kind = people_then.kind
        AND windows.is_injured = CASE
            WHEN people_then.kind = 'routine' AND people_then.was_seen + people_then.was_unseen > 0 THEN 1
            ELSE 0
        END
        AND windows.risk_rung IS NOT DISTINCT FROM people_then.risk_rung
)
SELECT
    judged.month,
    FALSE AS is_total,
    judged.team,
    CAST(COUNT(*) AS INTEGER) AS people,
    CAST(SUM(judged.was_seen) AS INTEGER) AS injured_people,
    CAST(SUM(judged.was_unseen) AS INTEGER) AS unseen_people,
    CAST(SUM(judged.is_timed) AS INTEGER) AS timed_people,
    CAST(SUM(judged.is_overdue) AS INTEGER) AS overdue_people
FROM judged
GROUP BY judged.month, judged.team
UNION ALL
SELECT
    judged.month,
    TRUE AS is_total,
    CAST(NULL AS VARCHAR) AS team,
    CAST(COUNT(*) AS INTEGER) AS people,
    CAST(SUM(judged.was_seen) AS INTEGER) AS injured_people,
    CAST(SUM(judged.was_unseen) AS INTEGER) AS unseen_people,
    CAST(SUM(judged.is_timed) AS INTEGER) AS timed_people,
    CAST(SUM(judged.is_overdue) AS INTEGER) AS overdue_people
FROM judged
GROUP BY judged.month
ORDER BY month, is_total, team
