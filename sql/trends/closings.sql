-- question: Of the injuries looked at in each month, how many were found closed?
-- grain:    one row per month and team with such injuries, and one per month for everybody
-- key:      month, is_total, team?
-- inputs:   trends.months, trends.stays, wounds.course
-- beware:   an injury that opens again within the month has not closed; one that nobody looked at is in neither figure
-- columns:
--   month     date     first day of the month
--   is_total  boolean  the row of everybody
--   team      text     the team on the day of the newest look; blank for everybody and where the stay has no team
--   injuries  integer  looked at in the month and open at one of its looks, or at the look before
--   closed    integer  of them, closed at the newest look of the month
WITH looks AS (
    SELECT
        course.injury_id,
        course.client_id,
        CAST(course.observed_at AS DATE) AS observed_on,
        course.look,
        course.is_closed,
        LAG(course.is_closed) OVER (PARTITION BY course.injury_id ORDER BY course.look) AS was_closed,
        LAST_VALUE(course.cause) OVER (
            PARTITION BY course.injury_id ORDER BY course.look ROWS BETWEEN UNBOUNDED PRECEDING AND UNBOUNDED FOLLOWING
        ) AS cause
    FROM wounds.course
),
looks_of_month AS (
    SELECT
        months.month, looks.injury_id, looks.client_id, looks.observed_on, looks.is_closed, looks.was_closed,
        ROW_NUMBER() OVER (PARTITION BY months.month, looks.injury_id ORDER BY looks.look DESC) AS newest
    FROM looks
    INNER JOIN trends.months ON looks.observed_on BETWEEN months.month AND months.last_day
    WHERE COALESCE(looks.cause, 'pressure') IN ('pressure', 'not_settled')
),
-- Open at some look of the month, or at the one before it: what stayed closed all month cannot heal.
treated AS (
    SELECT
        looks_of_month.month,
        looks_of_month.injury_id,
        MAX(CASE WHEN looks_of_month.newest = 1 THEN looks_of_month.client_id END) AS client_id,
        MAX(looks_of_month.observed_on) AS observed_on,
        MAX(CASE WHEN looks_of_month.newest = 1 AND looks_of_month.is_closed THEN 1 ELSE 0 END) AS has_closed
    FROM looks_of_month
    GROUP BY looks_of_month.month, looks_of_month.injury_id
    HAVING COUNT(CASE WHEN NOT looks_of_month.is_closed OR NOT looks_of_month.was_closed THEN 1 END) > 0
),
healing_in_teams AS (
    SELECT
        treated.month,
        CASE WHEN here.client_id IS NOT NULL THEN here.team ELSE leaving.team END AS team,
        treated.has_closed
    FROM treated
    LEFT JOIN trends.stays AS here
        ON here.client_id = treated.client_id AND here.from_on <= treated.observed_on AND here.until_on > treated.observed_on
    LEFT JOIN trends.stays AS leaving ON leaving.client_id = treated.client_id AND leaving.until_on = treated.observed_on
    WHERE here.client_id IS NOT NULL OR leaving.client_id IS NOT NULL
),
healing_sums AS (
    SELECT month, FALSE AS is_total, team, SUM(has_closed) AS closed, COUNT(*) AS injuries
    FROM healing_in_teams
    GROUP BY month, team
    UNION ALL
    SELECT month, TRUE AS is_total, CAST(NULL AS VARCHAR) AS team, SUM(has_closed) AS closed, COUNT(*) AS injuries
    FROM healing_in_teams
    GROUP BY month
)
SELECT
    healing_sums.month,
    healing_sums.is_total,
    healing_sums.team,
    CAST(healing_sums.injuries AS INTEGER) AS injuries,
    CAST(healing_sums.closed AS INTEGER) AS closed
FROM healing_sums
ORDER BY healing_sums.month, healing_sums.is_total, healing_sums.team
