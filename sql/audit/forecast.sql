-- question: How many people's next reassessment falls due in each of the next four weeks, by team?
-- grain:    one row per team and week
-- key:      team?, week
-- inputs:   audit.reassessments, review.parameters
-- beware:   who is overdue already is in no week; the first week begins on the as-of day
-- columns:
--   team           text     the team; blank for people without one
--   week           integer  1 to 4
--   from_on        date     first day
--   to_on          date     last day
--   people         integer  people whose next reassessment falls due then
--   first_people   integer  of these, those who wait for the first score of this stay
--   change_people  integer  of these, those whose score is due after a change
WITH weeks AS (
    SELECT 1 AS week, parameters.as_of AS from_on, parameters.as_of + 7 AS to_on FROM review.parameters AS parameters
    UNION ALL
    SELECT 2 AS week, parameters.as_of + 8 AS from_on, parameters.as_of + 14 AS to_on FROM review.parameters AS parameters
    UNION ALL
    SELECT 3 AS week, parameters.as_of + 15 AS from_on, parameters.as_of + 21 AS to_on FROM review.parameters AS parameters
    UNION ALL
    SELECT 4 AS week, parameters.as_of + 22 AS from_on, parameters.as_of + 28 AS to_on FROM review.parameters AS parameters
),
teams AS (
    SELECT DISTINCT reassessments.team FROM audit.reassessments AS reassessments
),
due AS (
    SELECT reassessments.team, reassessments.due_on, reassessments.kind
    FROM audit.reassessments AS reassessments
    WHERE reassessments.status IN ('due', 'not_due')
)
SELECT
    teams.team,
    CAST(weeks.week AS INTEGER) AS week,
    weeks.from_on,
    weeks.to_on,
    CAST(COUNT(due.due_on) AS INTEGER) AS people,
    CAST(COUNT(CASE WHEN due.kind = 'first' THEN 1 END) AS INTEGER) AS first_people,
    CAST(COUNT(CASE WHEN due.kind = 'change' THEN 1 END) AS INTEGER) AS change_people
FROM teams
CROSS JOIN weeks
LEFT JOIN due
    ON due.due_on BETWEEN weeks.from_on AND weeks.to_on
    AND (due.team = teams.team OR (due.team IS NULL AND teams.team IS NULL))
GROUP BY teams.team, weeks.week, weeks.from_on, weeks.to_on
ORDER BY teams.team NULLS LAST, weeks.week
