-- question: Which months show more than chance, and by which rule?
-- grain:    one row per measure, month, team and rule that speaks
-- key:      measure, month, is_total, team?, signal
-- inputs:   trends.rates, policy.signals, policy.parameters
-- beware:   provisional months make no signal, for a month that is still filling looks like a fall; a month without a rate is stepped over
-- columns:
--   measure   text     the measure
--   month     date     first day of the month
--   is_total  boolean  the row of everybody
--   team      text     the team; blank for everybody
--   signal    code outside_limit_high|outside_limit_low|one_side_high|one_side_low|steady_high|steady_low|outer_third_high|outer_third_low  the rule, and which way
--   position  integer  the rule's place: the first is the strongest
-- Where the baseline holds a handful of events the rules for many are wrong, and one person more is a signal; so none is made.
WITH limits AS (
    SELECT MAX(CASE WHEN parameters.name = 'trend_baseline_events' THEN parameters.amount END) AS baseline_events
    FROM policy.parameters
),
numbered AS (
    SELECT
        rates.measure,
        rates.month,
        rates.is_total,
        rates.team,
        rates.rate,
        rates.centre,
        rates.sigma,
        rates.lower_limit,
        rates.upper_limit,
        ROW_NUMBER() OVER (PARTITION BY rates.measure, rates.is_total, rates.team ORDER BY rates.month) AS place,
        LAG(rates.rate) OVER (PARTITION BY rates.measure, rates.is_total, rates.team ORDER BY rates.month) AS rate_before
    FROM trends.rates
    CROSS JOIN limits
    WHERE rates.rate IS NOT NULL
        AND rates.baseline_events >= limits.baseline_events
        AND NOT rates.is_provisional
),
-- For each month the last month that broke a run; what came after it is the run.
runs AS (
    SELECT
        numbered.measure,
        numbered.month,
        numbered.is_total,
        numbered.team,
        numbered.rate,
        numbered.lower_limit,
        numbered.upper_limit,
        numbered.place,
        COALESCE(MAX(CASE WHEN numbered.rate > numbered.centre THEN NULL ELSE numbered.place END) OVER (
            PARTITION BY numbered.measure, numbered.is_total, numbered.team
            ORDER BY numbered.place ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ), 0) AS not_above,
        COALESCE(MAX(CASE WHEN numbered.rate < numbered.centre THEN NULL ELSE numbered.place END) OVER (
            PARTITION BY numbered.measure, numbered.is_total, numbered.team
            ORDER BY numbered.place ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ), 0) AS not_below,
        MAX(CASE WHEN numbered.rate > numbered.rate_before THEN NULL ELSE numbered.place END) OVER (
            PARTITION BY numbered.measure, numbered.is_total, numbered.team
            ORDER BY numbered.place ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS not_risen,
        MAX(CASE WHEN numbered.rate < numbered.rate_before THEN NULL ELSE numbered.place END) OVER (
            PARTITION BY numbered.measure, numbered.is_total, numbered.team
            ORDER BY numbered.place ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS not_fallen
    FROM numbered
),
spoken AS (
    SELECT
        runs.measure, runs.month, runs.is_total, runs.team, signals.rule, signals.position,
        CASE
            WHEN signals.rule = 'outside_limit' AND runs.rate > runs.upper_limit THEN 'high'
            WHEN signals.rule = 'outside_limit' AND runs.rate < runs.lower_limit THEN 'low'
            WHEN signals.rule = 'one_side' AND runs.place - runs.not_above >= signals.points THEN 'high'
            WHEN signals.rule = 'one_side' AND runs.place - runs.not_below >= signals.points THEN 'low'
            -- The month that a run starts from belongs to it.
            WHEN signals.rule = 'steady' AND runs.place - runs.not_risen + 1 >= signals.points THEN 'high'
            WHEN signals.rule = 'steady' AND runs.place - runs.not_fallen + 1 >= signals.points THEN 'low'
        END AS direction
    FROM runs
    CROSS JOIN policy.signals
),
-- Windows of neighbouring months that lie on one side, named by their last month.
windows AS (
    SELECT
        newest.measure, newest.is_total, newest.team, newest.place, signals.rule, signals.position, signals.out_of,
        COUNT(CASE WHEN member.rate > member.centre THEN 1 END) AS above,
        COUNT(CASE WHEN member.rate < member.centre THEN 1 END) AS below,
        COUNT(CASE WHEN member.rate - member.centre > signals.beyond_sigmas * member.sigma THEN 1 END) AS far_above,
        COUNT(CASE WHEN member.centre - member.rate > signals.beyond_sigmas * member.sigma THEN 1 END) AS far_below,
        signals.points
    FROM numbered AS newest
    CROSS JOIN policy.signals
    CROSS JOIN numbered AS member
    WHERE signals.rule = 'outer_third'
        AND member.measure = newest.measure
        AND member.is_total = newest.is_total
        AND (member.team = newest.team OR newest.is_total)
        AND member.place BETWEEN newest.place - signals.out_of + 1 AND newest.place
    GROUP BY newest.measure, newest.is_total, newest.team, newest.place, signals.rule, signals.position, signals.out_of, signals.points
),
told AS (
    SELECT spoken.measure, spoken.month, spoken.is_total, spoken.team, spoken.rule, spoken.position, spoken.direction
    FROM spoken
    WHERE spoken.direction IS NOT NULL
    UNION
    SELECT
        numbered.measure, numbered.month, numbered.is_total, numbered.team, windows.rule, windows.position,
        CASE WHEN windows.above = windows.out_of THEN 'high' ELSE 'low' END AS direction
    FROM windows
    CROSS JOIN numbered
    WHERE numbered.measure = windows.measure
        AND numbered.is_total = windows.is_total
        AND (numbered.team = windows.team OR windows.is_total)
        AND numbered.place BETWEEN windows.place - windows.out_of + 1 AND windows.place
        AND (
            (windows.above = windows.out_of AND windows.far_above >= windows.points)
            OR (windows.below = windows.out_of AND windows.far_below >= windows.points)
        )
)
SELECT
    told.measure,
    told.month,
    told.is_total,
    told.team,
    told.rule || '_' || told.direction AS signal,
    told.position
FROM told
ORDER BY told.measure, told.month, told.is_total, told.team, told.position
