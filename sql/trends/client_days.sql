-- question: For how many days did each team look after people in each month?
-- grain:    one row per month and team with at least one day, and one per month for everybody
-- key:      month, is_total, team?
-- inputs:   trends.months, trends.stays
-- beware:   overlapping stays count once; of the two rows of a month without a team the one with is_total is everybody
-- columns:
--   month     date     first day of the month
--   is_total  boolean  the row of everybody
--   team      text     the team; blank for everybody and for stays without a team
--   days      integer  person-days, nothing but the union of stays taken away
WITH clipped AS (
    SELECT
        months.month,
        stays.team,
        GREATEST(stays.from_on, months.month) AS clipped_from_on,
        LEAST(stays.until_on, months.last_day + 1) AS clipped_until_on
    FROM trends.months
    INNER JOIN trends.stays ON stays.from_on <= months.last_day AND stays.until_on > months.month
),
counted_days AS (
    SELECT clipped.month, clipped.team, DATE_DIFF('day', clipped.clipped_from_on, clipped.clipped_until_on) AS days
    FROM clipped
)
SELECT
    counted_days.month,
    FALSE AS is_total,
    counted_days.team,
    CAST(SUM(counted_days.days) AS INTEGER) AS days
FROM counted_days
GROUP BY counted_days.month, counted_days.team
UNION ALL
SELECT
    counted_days.month,
    TRUE AS is_total,
    CAST(NULL AS VARCHAR) AS team,
    CAST(SUM(counted_days.days) AS INTEGER) AS days
FROM counted_days
GROUP BY counted_days.month
ORDER BY month, is_total, team
