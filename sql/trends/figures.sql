-- question: What is counted for each measure, and out of what?
-- grain:    one row per measure, month and team, and one per measure and month for everybody
-- key:      measure, month, is_total, team?
-- inputs:   trends.months, trends.stays, trends.client_days, trends.month_ends, trends.occurrences,
--           trends.closings, audit.tally, policy.measures, policy.calendar, review.parameters
-- beware:   blank where the feed does not cover the month, which is not the same as none
-- columns:
--   measure      text     the measure
--   month        date     first day of the month
--   measured_on  date     the day that was looked at, or the last day of the period
--   is_total     boolean  the row of everybody
--   team         text     the team; blank for everybody
--   numerator    integer  how many
--   denominator  integer  of how many people, injuries or person-days
-- People without a team are in the row of everybody only. Whether a surface is enough depends on facts that hold for a
-- short time and were often not asked, so that measure is taken from this audit alone and has no past.
WITH teams AS (
    SELECT FALSE AS is_total, stays.team
    FROM trends.stays
    WHERE stays.team IS NOT NULL
    GROUP BY stays.team
    UNION ALL
    SELECT TRUE AS is_total, CAST(NULL AS VARCHAR) AS team
),
frames AS (
    SELECT
        months.month,
        months.last_day,
        months.placements_known,
        months.injuries_known,
        months.assessments_known,
        months.skin_known,
        teams.is_total,
        teams.team,
        client_days.days,
        month_ends.people,
        month_ends.injured_people,
        month_ends.unseen_people,
        month_ends.timed_people,
        month_ends.overdue_people
    FROM trends.months
    CROSS JOIN teams
    LEFT JOIN trends.client_days
        ON client_days.month = months.month
        AND client_days.is_total = teams.is_total
        AND (client_days.team = teams.team OR teams.is_total)
    LEFT JOIN trends.month_ends
        ON month_ends.month = months.month
        AND month_ends.is_total = teams.is_total
        AND (month_ends.team = teams.team OR teams.is_total)
),
on_month_ends AS (
    SELECT
        'prevalence' AS measure, frames.month, frames.last_day, frames.is_total, frames.team,
        CASE WHEN frames.injuries_known THEN COALESCE(frames.injured_people, 0) END AS numerator,
        COALESCE(frames.people, 0) AS denominator
    FROM frames
    WHERE frames.placements_known
    UNION ALL
    SELECT
        'unseen_injuries' AS measure, frames.month, frames.last_day, frames.is_total, frames.team,
        CASE WHEN frames.injuries_known THEN COALESCE(frames.unseen_people, 0) END AS numerator,
        COALESCE(frames.people, 0) AS denominator
    FROM frames
    WHERE frames.placements_known
    UNION ALL
    SELECT
        'overdue_reassessments' AS measure, frames.month, frames.last_day, frames.is_total, frames.team,
        CASE WHEN frames.assessments_known THEN COALESCE(frames.overdue_people, 0) END AS numerator,
        COALESCE(frames.timed_people, 0) AS denominator
    FROM frames
    WHERE frames.placements_known
),
by_days AS (
    SELECT
        measures.measure, frames.month, frames.last_day, frames.is_total, frames.team,
        CASE
            WHEN measures.measure = 'skin_looks' AND NOT frames.skin_known THEN NULL
            WHEN measures.measure <> 'skin_looks' AND NOT frames.injuries_known THEN NULL
            ELSE COALESCE(occurrences.amount, 0)
        END AS numerator,
        COALESCE(frames.days, 0) AS denominator
    FROM policy.measures
    CROSS JOIN frames
    LEFT JOIN trends.occurrences
        ON occurrences.measure = measures.measure
        AND occurrences.month = frames.month
        AND occurrences.is_total = frames.is_total
        AND (occurrences.team = frames.team OR frames.is_total)
    WHERE measures.kind = 'density' AND frames.placements_known
),
healed AS (
    SELECT
        'closed_injuries' AS measure, frames.month, frames.last_day, frames.is_total, frames.team,
        CASE WHEN frames.injuries_known THEN COALESCE(closings.closed, 0) END AS numerator,
        CASE WHEN frames.injuries_known THEN COALESCE(closings.injuries, 0) END AS denominator
    FROM frames
    LEFT JOIN trends.closings
        ON closings.month = frames.month
        AND closings.is_total = frames.is_total
        AND (closings.team = frames.team OR frames.is_total)
    WHERE frames.placements_known
),
this_month AS (
    SELECT MAX(calendar.day) AS month
    FROM policy.calendar
    CROSS JOIN review.parameters
    WHERE EXTRACT(DAY FROM calendar.day) = 1 AND calendar.day <= parameters.as_of
),
as_of_today AS (
    SELECT
        'under_provided_lying' AS measure, this_month.month, parameters.as_of AS last_day, tally.is_total, tally.team,
        tally.lying_under AS numerator,
        tally.lying_judged AS denominator
    FROM audit.tally
    CROSS JOIN this_month
    CROSS JOIN review.parameters
    WHERE tally.is_total OR tally.team IS NOT NULL
),
everything AS (
    SELECT measure, month, last_day, is_total, team, numerator, denominator FROM on_month_ends
    UNION ALL
    SELECT measure, month, last_day, is_total, team, numerator, denominator FROM by_days
    UNION ALL
    SELECT measure, month, last_day, is_total, team, numerator, denominator FROM healed
    UNION ALL
    SELECT measure, month, last_day, is_total, team, numerator, denominator FROM as_of_today
)
SELECT
    everything.measure,
    everything.month,
    everything.last_day AS measured_on,
    everything.is_total,
    everything.team,
    CAST(everything.numerator AS INTEGER) AS numerator,
    CAST(everything.denominator AS INTEGER) AS denominator
FROM everything
INNER JOIN policy.measures ON measures.measure = everything.measure
ORDER BY everything.measure, everything.month, everything.is_total, everything.team
