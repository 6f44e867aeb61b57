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
ranked AS (
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
        ROW_NUMBER() OVER (
            PARTITION BY measures.measure
            ORDER BY CASE WHEN measures.provisional THEN 1 ELSE 0 END, measures.month DESC
        ) AS newest
    FROM trends.measures
    WHERE measures.team IS NULL AND measures.rate IS NOT NULL
),
chosen AS (
    SELECT
        ranked.measure, ranked.month, ranked.measured_on, ranked.numerator, ranked.denominator, ranked.rate, ranked.lower,
        ranked.upper, ranked.centre, ranked.signal, ranked.signal_means, ranked.provisional, ranked.baseline_months,
        ranked.baseline_events
    FROM ranked
    WHERE ranked.newest = 1
),
around AS (
    SELECT
        measures.measure,
        SUM(CASE WHEN measures.signal IS NOT NULL THEN 1 ELSE 0 END) AS signal_months,
        SUM(CASE WHEN measures.month > chosen.month AND measures.rate IS NULL AND NOT measures.provisional THEN 1 ELSE 0 END)
            AS uncovered_months
    FROM trends.measures
    INNER JOIN chosen ON chosen.measure = measures.measure
    WHERE measures.team IS NULL
    GROUP BY measures.measure
)
SELECT
    measures.measure,
    measures.position,
    chosen.month,
    chosen.measured_on,
    chosen.numerator,
    chosen.denominator,
    chosen.rate,
    chosen.lower,
    chosen.upper,
    chosen.centre,
    chosen.signal,
    CASE
        WHEN chosen.measure IS NULL THEN 'no_data'
        WHEN chosen.provisional THEN 'only_now'
        WHEN chosen.centre IS NULL THEN 'no_baseline'
        WHEN chosen.baseline_events < limits.baseline_events THEN 'too_few'
        WHEN chosen.signal IS NULL THEN 'steady'
        ELSE chosen.signal_means
    END AS conclusion,
    COALESCE(chosen.baseline_months < limits.baseline_months, FALSE) AS is_trial,
    CAST(COALESCE(around.signal_months, 0) AS INTEGER) AS signal_months,
    CAST(COALESCE(around.uncovered_months, 0) AS INTEGER) AS uncovered_months
FROM policy.measures
CROSS JOIN limits
LEFT JOIN chosen ON chosen.measure = measures.measure
LEFT JOIN around ON around.measure = measures.measure
ORDER BY measures.position, measures.measure
