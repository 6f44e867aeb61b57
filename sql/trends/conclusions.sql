-- question: What does each measure come to for all teams, in the newest month that can be relied on?
-- grain:    one row per measure
-- key:      measure
-- inputs:   trends.measures, policy.measures, policy.parameters
-- beware:   steady means that nothing more than chance was seen, not that nothing changed
-- columns:
--   measure           text     the measure
--   position          integer  its place in the policy
--   month             date     the newest month with a rate that is not provisional; of this audit alone where there is no such
--   measured_on       date     the day that was looked at, or the last day of the period
--   numerator         integer  how many
--   denominator       integer  of how many
--   rate              number   the rate
--   lower             number   lower end of the 95 % interval
--   upper             number   upper end of the 95 % interval
--   centre            number   what is usual: the rate of the baseline months
--   signal            text     the signal of that month
--   conclusion        code no_data|only_now|no_baseline|too_few|steady|better|worse|change  what the chart says of that month
--   is_trial          boolean  the limits come from fewer months than the policy asks
--   signal_months     integer  months with a signal
--   uncovered_months  integer  later months that are not provisional and have no rate
WITH limits AS (
    SELECT
        MAX(CASE WHEN parameters.name = 'trend_baseline_months' THEN parameters.amount END) AS baseline_months,
        MAX(CASE WHEN parameters.name = 'trend_baseline_events' THEN parameters.amount END) AS baseline_events
    FROM policy.parameters
),
everybody AS (
    SELECT
        measures.measure,
        measures.month,
        measures.measured_on,
        measures.numerator,
        measures.denominator,
        measures.rate,
        measures.lower,
        measures.upper,
        measures.centre,
        measures.signal,
        measures.signal_means,
        measures.provisional,
        measures.baseline_months,
        measures.baseline_events,
        COUNT(measures.signal) OVER (PARTITION BY measures.measure) AS signal_months,
        COUNT(CASE WHEN NOT measures.provisional THEN 1 END) OVER (
            PARTITION BY measures.measure ORDER BY measures.month DESC ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING
        ) AS later_months
    FROM trends.measures
    WHERE measures.team IS NULL
),
-- The later months have no rate, or one of them would have been the newest that has.
ranked AS (
    SELECT
        everybody.measure, everybody.month, everybody.measured_on, everybody.numerator, everybody.denominator,
        everybody.rate, everybody.lower, everybody.upper, everybody.centre, everybody.signal, everybody.signal_means,
        everybody.provisional, everybody.baseline_months, everybody.baseline_events, everybody.signal_months,
        everybody.later_months,
        ROW_NUMBER() OVER (PARTITION BY everybody.measure ORDER BY everybody.provisional, everybody.month DESC) AS newest
    FROM everybody
    WHERE everybody.rate IS NOT NULL
)
SELECT
    measures.measure,
    measures.position,
    ranked.month,
    ranked.measured_on,
    ranked.numerator,
    ranked.denominator,
    ranked.rate,
    ranked.lower,
    ranked.upper,
    ranked.centre,
    ranked.signal,
    CASE
        WHEN ranked.measure IS NULL THEN 'no_data'
        WHEN ranked.provisional THEN 'only_now'
        WHEN ranked.centre IS NULL THEN 'no_baseline'
        WHEN ranked.baseline_events < limits.baseline_events THEN 'too_few'
        WHEN ranked.signal IS NULL THEN 'steady'
        ELSE ranked.signal_means
    END AS conclusion,
    COALESCE(ranked.baseline_months < limits.baseline_months, FALSE) AS is_trial,
    CAST(COALESCE(ranked.signal_months, 0) AS INTEGER) AS signal_months,
    CAST(COALESCE(ranked.later_months, 0) AS INTEGER) AS uncovered_months
FROM policy.measures
CROSS JOIN limits
LEFT JOIN ranked ON ranked.measure = measures.measure AND ranked.newest = 1
ORDER BY measures.position, measures.measure
