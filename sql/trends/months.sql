-- question: Which months can the trends speak of, and which feeds cover them?
-- grain:    one row per month that is over by the as-of day
-- key:      month
-- inputs:   records.placements, records.injuries, records.assessments, records.circumstances, quality.arrivals,
--           policy.calendar, policy.parameters, policy.measures, review.parameters
-- beware:   a month that is not over has no row; before a feed's records begin, and after its last file, a month is not covered
-- columns:
--   month                  date     first day of the month
--   last_day               date     last day of the month
--   place                  integer  1 for the earliest month
--   is_provisional         boolean  so recent that late records may still change it
--   placements_known       boolean  placements cover the last day
--   injuries_known         boolean  looks at wounds cover the last day
--   assessments_known      boolean  assessments cover the last day
--   skin_known             boolean  looks at skin cover the last day
-- Before its records begin and after its last file a feed's silence looks like good news, so nothing is counted there.
-- An export brings a few old records of people who were there already. So where a feed is large enough to tell, its records
-- begin with the first month that has a fair share of what is usual, and not with the first record of all.
WITH first_days AS (
    SELECT calendar.day AS month
    FROM policy.calendar
    WHERE EXTRACT(DAY FROM calendar.day) = 1
),
whole_months AS (
    SELECT
        first_days.month,
        LEAD(first_days.month) OVER (ORDER BY first_days.month) - 1 AS last_day
    FROM first_days
),
limits AS (
    SELECT
        MAX(CASE WHEN parameters.name = 'trend_months_shown' THEN parameters.amount END) AS months_shown,
        MAX(CASE WHEN parameters.name = 'trend_provisional_months' THEN parameters.amount END) AS provisional_months,
        MAX(CASE WHEN parameters.name = 'trend_coverage_share' THEN parameters.amount END) AS fair_share,
        MAX(CASE WHEN parameters.name = 'trend_coverage_records' THEN parameters.amount END) AS judged_from_records
    FROM policy.parameters
),
baselines AS (
    SELECT MIN(measures.baseline_from) AS baseline_from
    FROM policy.measures
),
happened AS (
    SELECT 'placements' AS feed, CAST(placements.started_at AS DATE) AS happened_on
    FROM records.placements
    UNION ALL
    SELECT 'injuries' AS feed, CAST(injuries.observed_at AS DATE) AS happened_on
    FROM records.injuries
    UNION ALL
    SELECT 'assessments' AS feed, CAST(assessments.assessed_at AS DATE) AS happened_on
    FROM records.assessments
    UNION ALL
    SELECT 'circumstances' AS feed, circumstances.skin_checked_on AS happened_on
    FROM records.circumstances
),
-- Days first: there are few of them, however many records there are.
days AS (
    SELECT happened.feed, happened.happened_on, COUNT(*) AS records_of_day
    FROM happened
    GROUP BY happened.feed, happened.happened_on
),
busy_months AS (
    SELECT days.feed, whole_months.month, MIN(days.happened_on) AS first_on, SUM(days.records_of_day) AS records_of_month
    FROM days
    INNER JOIN whole_months ON days.happened_on BETWEEN whole_months.month AND whole_months.last_day
    GROUP BY days.feed, whole_months.month
),
usual AS (
    SELECT busy_months.feed, CAST(MEDIAN(busy_months.records_of_month) AS DECIMAL(18, 1)) AS records_of_month
    FROM busy_months
    GROUP BY busy_months.feed
),
first_records AS (
    SELECT busy_months.feed, MIN(busy_months.first_on) AS first_on
    FROM busy_months
    CROSS JOIN usual
    CROSS JOIN limits
    WHERE usual.feed = busy_months.feed
        AND (
            usual.records_of_month < limits.judged_from_records
            OR busy_months.records_of_month >= limits.fair_share * usual.records_of_month
            -- Stays reach back as far as people do, and their days are counted and not their beginnings.
            OR busy_months.feed = 'placements'
        )
    GROUP BY busy_months.feed
),
covered AS (
    SELECT
        first_records.feed,
        first_records.first_on,
        CAST(arrivals.last_received_at AS DATE) AS last_on
    FROM first_records
    LEFT JOIN quality.arrivals ON arrivals.feed = first_records.feed
),
over AS (
    SELECT
        whole_months.month,
        whole_months.last_day,
        ROW_NUMBER() OVER (ORDER BY whole_months.month DESC) AS months_back
    FROM whole_months
    CROSS JOIN review.parameters
    WHERE whole_months.last_day <= parameters.as_of
),
kept AS (
    SELECT over.month, over.last_day, over.months_back
    FROM over
    CROSS JOIN limits
    CROSS JOIN baselines
    CROSS JOIN covered
    WHERE covered.feed = 'placements'
        AND over.last_day >= covered.first_on
        AND (over.months_back <= limits.months_shown OR over.month >= baselines.baseline_from)
)
SELECT
    kept.month,
    kept.last_day,
    CAST(ROW_NUMBER() OVER (ORDER BY kept.month) AS INTEGER) AS place,
    kept.months_back <= limits.provisional_months AS is_provisional,
    COUNT(CASE WHEN covered.feed = 'placements' AND kept.last_day BETWEEN covered.first_on AND covered.last_on THEN 1 END)
        > 0 AS placements_known,
    COUNT(CASE WHEN covered.feed = 'injuries' AND kept.last_day BETWEEN covered.first_on AND covered.last_on THEN 1 END)
        > 0 AS injuries_known,
    COUNT(CASE WHEN covered.feed = 'assessments' AND kept.last_day BETWEEN covered.first_on AND covered.last_on THEN 1 END)
        > 0 AS assessments_known,
    COUNT(CASE WHEN covered.feed = 'circumstances' AND kept.last_day BETWEEN covered.first_on AND covered.last_on THEN 1 END)
        > 0 AS skin_known
FROM kept
CROSS JOIN limits
CROSS JOIN covered
GROUP BY kept.month, kept.last_day, kept.months_back, limits.provisional_months
ORDER BY kept.month
