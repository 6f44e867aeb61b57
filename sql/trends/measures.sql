-- question: How has each measure moved, month by month, and when was that more than chance?
-- grain:    one row per measure, month and team, and one per measure and month for all teams
-- key:      measure, month, team?
-- inputs:   trends.rates, trends.signals, policy.measures
-- beware:   a blank rate is not 0: nothing to divide by, or a feed that does not cover the month; teams are no league
-- columns:
--   measure          text     the measure
--   month            date     first day of the month
--   team             text     the team; blank for all teams
--   numerator        integer  how many
--   denominator      integer  of how many people, injuries or person-days
--   rate             number   the share, 0 to 1, or the number for each `per` person-days
--   lower            number   lower end of the 95 % interval
--   upper            number   upper end of the 95 % interval
--   method           code wilson|exact_poisson|byar  how the interval was made
--   centre           number   the rate of the baseline months together
--   lower_limit      number   three sigmas below the centre, not below 0
--   upper_limit      number   three sigmas above the centre, a share not above 1
--   signal           code outside_limit_high|outside_limit_low|one_side_high|one_side_low|steady_high|steady_low|outer_third_high|outer_third_low  the strongest rule that speaks
--   provisional      boolean  so recent that late records may still change it
--   signal_means     code better|worse|change  the signal, by which way is better for this measure
--   measured_on      date     the day that was looked at, or the last day of the period
--   per              integer  1 for a share, or the person-days that the rate is for
--   baseline_months  integer  months that the centre was made from; fewer than the policy asks make trial limits
--   baseline_events  integer  what was counted in them; where they are few no signal is made
WITH strongest AS (
    SELECT
        signals.measure,
        signals.month,
        signals.is_total,
        signals.team,
        signals.signal,
        ROW_NUMBER() OVER (
            PARTITION BY signals.measure, signals.month, signals.is_total, signals.team
            ORDER BY signals.position, signals.signal
        ) AS strength
    FROM trends.signals
)
SELECT
    rates.measure,
    rates.month,
    rates.team,
    rates.numerator,
    rates.denominator,
    rates.rate,
    rates.lower,
    rates.upper,
    rates.method,
    rates.centre,
    rates.lower_limit,
    rates.upper_limit,
    strongest.signal,
    rates.is_provisional AS provisional,
    CASE
        WHEN strongest.signal IS NULL THEN NULL
        WHEN measures.good = 'neither' THEN 'change'
        WHEN (measures.good = 'up') = (strongest.signal LIKE '%_high') THEN 'better'
        ELSE 'worse'
    END AS signal_means,
    rates.measured_on,
    measures.per,
    rates.baseline_months,
    rates.baseline_events
FROM trends.rates
INNER JOIN policy.measures ON measures.measure = rates.measure
LEFT JOIN strongest
    ON strongest.measure = rates.measure
    AND strongest.month = rates.month
    AND strongest.is_total = rates.is_total
    AND (strongest.team = rates.team OR rates.is_total)
    AND strongest.strength = 1
ORDER BY rates.measure, rates.month, rates.team NULLS FIRST
