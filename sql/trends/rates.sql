-- question: How high is each rate, how sure is that, and what would be usual?
-- grain:    one row per measure, month and team, and one per measure and month for everybody
-- key:      measure, month, is_total, team?
-- inputs:   trends.figures, trends.months, policy.measures, policy.signals, policy.poisson_limits, policy.parameters
-- beware:   a denominator of none gives no rate; fewer than two months give no centre line; limits from few months are trial limits
-- columns:
--   measure          text     the measure
--   month            date     first day of the month
--   measured_on      date     the day that was looked at, or the last day of the period
--   is_total         boolean  the row of everybody
--   team             text     the team; blank for everybody
--   numerator        integer  how many
--   denominator      integer  of how many people, injuries or person-days
--   rate             number   the share, 0 to 1, or the number for each `per` person-days
--   lower            number   lower end of the 95 % interval
--   upper            number   upper end of the 95 % interval
--   method           code wilson|exact_poisson|byar  how the interval was made
--   centre           number   the rate of the baseline months together
--   sigma            number   standard deviation of a month with this denominator around the centre
--   lower_limit      number   centre less three sigmas, not below 0
--   upper_limit      number   centre and three sigmas, a share not above 1
--   baseline_months  integer  months that the centre was made from
--   baseline_events  integer  what was counted in them
--   is_provisional   boolean  so recent that late records may still change it
-- Wilson 1927 for shares; Garwood 1936, from a table, for counts, and above the table Byar's approximation in its form with
-- x and x + 1 (Breslow and Day 1987), within 0.2 % of exact from ten on. p and u charts by the usual formulas (Montgomery).
-- 1.959963984540054 is the normal deviate of 95 %, and 3.841458820694124 its square.
WITH limits AS (
    SELECT
        MAX(CASE WHEN parameters.name = 'trend_baseline_months' THEN parameters.amount END) AS baseline_months
    FROM policy.parameters
),
widths AS (
    SELECT MAX(CASE WHEN signals.rule = 'outside_limit' THEN signals.beyond_sigmas END) AS sigmas
    FROM policy.signals
),
described AS (
    SELECT
        figures.measure,
        figures.month,
        figures.measured_on,
        figures.is_total,
        figures.team,
        figures.numerator,
        figures.denominator,
        measures.kind,
        measures.per,
        measures.baseline_from,
        -- What is taken from this audit alone belongs to a month that is not over.
        COALESCE(months.is_provisional, TRUE) AS is_provisional,
        CAST(figures.numerator AS DOUBLE) AS x,
        CAST(figures.denominator AS DOUBLE) AS n
    FROM trends.figures
    INNER JOIN policy.measures ON measures.measure = figures.measure
    LEFT JOIN trends.months ON months.month = figures.month
),
settled AS (
    SELECT
        described.measure,
        described.is_total,
        described.team,
        described.numerator,
        described.denominator,
        ROW_NUMBER() OVER (
            PARTITION BY described.measure, described.is_total, described.team ORDER BY described.month
        ) AS place
    FROM described
    WHERE described.numerator IS NOT NULL
        AND described.denominator > 0
        AND NOT described.is_provisional
        AND (described.baseline_from IS NULL OR described.month >= described.baseline_from)
),
baselines AS (
    SELECT
        settled.measure,
        settled.is_total,
        settled.team,
        COUNT(*) AS baseline_months,
        SUM(settled.numerator) AS numerator,
        SUM(settled.denominator) AS denominator
    FROM settled
    CROSS JOIN limits
    WHERE settled.place <= limits.baseline_months
    GROUP BY settled.measure, settled.is_total, settled.team
    HAVING COUNT(*) >= 2
),
centred AS (
    SELECT
        described.measure,
        described.month,
        described.measured_on,
        described.is_total,
        described.team,
        described.numerator,
        described.denominator,
        described.kind,
        CAST(described.per AS DOUBLE) AS per,
        described.is_provisional,
        described.x,
        -- A density may count more than it has days, and a share of more than one has no root.
        CASE WHEN described.kind = 'proportion' THEN described.x END AS share_x,
        -- The table holds the limits of none.
        NULLIF(described.x, 0) AS byar_x,
        described.n,
        CAST(baselines.numerator AS DOUBLE) / NULLIF(CAST(baselines.denominator AS DOUBLE), 0) AS usual,
        COALESCE(baselines.baseline_months, 0) AS baseline_months,
        COALESCE(baselines.numerator, 0) AS baseline_events
    FROM described
    LEFT JOIN baselines
        ON baselines.measure = described.measure
        AND baselines.is_total = described.is_total
        AND (baselines.team = described.team OR described.is_total)
),
measured AS (
    SELECT
        centred.measure,
        centred.month,
        centred.measured_on,
        centred.is_total,
        centred.team,
        centred.numerator,
        centred.denominator,
        centred.kind,
        centred.is_provisional,
        centred.baseline_months,
        centred.baseline_events,
        CASE
            WHEN centred.kind = 'proportion' THEN 'wilson'
            WHEN poisson_limits.upper IS NOT NULL THEN 'exact_poisson'
            ELSE 'byar'
        END AS method,
        CAST(ROUND(centred.per * centred.x / NULLIF(centred.n, 0), 6) AS DECIMAL(18, 6)) AS rate,
        -- The squared deviate keeps what is divided by above nought, also where there is nobody.
        CAST(ROUND((centred.share_x + 3.841458820694124 / 2 - 1.959963984540054
            * SQRT(centred.share_x * (centred.n - centred.share_x) / NULLIF(centred.n, 0) + 3.841458820694124 / 4))
            * POWER(centred.n + 3.841458820694124, -1), 6) AS DECIMAL(18, 6)) AS wilson_lower,
        CAST(ROUND((centred.share_x + 3.841458820694124 / 2 + 1.959963984540054
            * SQRT(centred.share_x * (centred.n - centred.share_x) / NULLIF(centred.n, 0) + 3.841458820694124 / 4))
            * POWER(centred.n + 3.841458820694124, -1), 6) AS DECIMAL(18, 6)) AS wilson_upper,
        CAST(ROUND(centred.per * CAST(poisson_limits.lower AS DOUBLE) / NULLIF(centred.n, 0), 6) AS DECIMAL(18, 6)) AS exact_lower,
        CAST(ROUND(centred.per * CAST(poisson_limits.upper AS DOUBLE) / NULLIF(centred.n, 0), 6) AS DECIMAL(18, 6)) AS exact_upper,
        CAST(ROUND(centred.per * centred.byar_x * POWER(
            1 - POWER(9 * centred.byar_x, -1) - 1.959963984540054 / 3 * POWER(centred.byar_x, -0.5), 3
        ) / NULLIF(centred.n, 0), 6) AS DECIMAL(18, 6)) AS byar_lower,
        CAST(ROUND(centred.per * (centred.byar_x + 1) * POWER(
            1 - POWER(9 * (centred.byar_x + 1), -1) + 1.959963984540054 / 3 * POWER(centred.byar_x + 1, -0.5), 3
        ) / NULLIF(centred.n, 0), 6) AS DECIMAL(18, 6)) AS byar_upper,
        CAST(ROUND(centred.per * centred.usual, 6) AS DECIMAL(18, 6)) AS centre,
        CAST(ROUND(CASE
            WHEN centred.kind = 'proportion' THEN SQRT(centred.usual * (1 - centred.usual) / NULLIF(centred.n, 0))
            ELSE centred.per * SQRT(centred.usual / NULLIF(centred.n, 0))
        END, 6) AS DECIMAL(18, 6)) AS sigma
    FROM centred
    LEFT JOIN policy.poisson_limits ON poisson_limits.events = centred.numerator
)
SELECT
    measured.measure,
    measured.month,
    measured.measured_on,
    measured.is_total,
    measured.team,
    measured.numerator,
    measured.denominator,
    measured.rate,
    CASE measured.method
        WHEN 'wilson' THEN measured.wilson_lower
        WHEN 'exact_poisson' THEN measured.exact_lower
        WHEN 'byar' THEN measured.byar_lower
    END AS lower,
    CASE measured.method
        WHEN 'wilson' THEN measured.wilson_upper
        WHEN 'exact_poisson' THEN measured.exact_upper
        WHEN 'byar' THEN measured.byar_upper
    END AS upper,
    CASE WHEN measured.rate IS NOT NULL THEN measured.method END AS method,
    measured.centre,
    measured.sigma,
    CASE
        WHEN measured.sigma IS NOT NULL
            THEN CAST(GREATEST(measured.centre - widths.sigmas * measured.sigma, 0) AS DECIMAL(18, 6))
    END AS lower_limit,
    CASE
        WHEN measured.sigma IS NULL THEN NULL
        WHEN measured.kind = 'proportion' THEN CAST(LEAST(measured.centre + widths.sigmas * measured.sigma, 1) AS DECIMAL(18, 6))
        ELSE CAST(measured.centre + widths.sigmas * measured.sigma AS DECIMAL(18, 6))
    END AS upper_limit,
    CAST(measured.baseline_months AS INTEGER) AS baseline_months,
    CAST(measured.baseline_events AS INTEGER) AS baseline_events,
    measured.is_provisional
FROM measured
CROSS JOIN widths
ORDER BY measured.measure, measured.month, measured.is_total, measured.team
