-- question: What of each team's figures may be shown outside the team?
-- grain:    one row per measure, month and team
-- key:      measure, month, team
-- inputs:   trends.measures, policy.parameters
-- beware:   a figure is also kept back where it could be worked out from everybody's and the other teams'; zero is shown
-- columns:
--   measure       text     the measure
--   month         date     first day of the month
--   team          text     the team
--   is_kept_back  boolean  the count is small, or would give a small one away
--   numerator     integer  how many; blank where kept back
--   denominator   integer  of how many; blank where it is a small number of people itself
--   rate          number   blank where kept back
--   lower         number   blank where kept back
--   upper         number   blank where kept back
-- Everybody's figure is shown. So one team alone must not be kept back, nor teams whose counts can only be the smallest
-- or the largest that is kept back: then the smallest of the others is kept back with them.
WITH limits AS (
    SELECT
        MAX(CASE WHEN parameters.name = 'small_number_from' THEN parameters.amount END) AS small_from,
        MAX(CASE WHEN parameters.name = 'small_number_to' THEN parameters.amount END) AS small_to
    FROM policy.parameters
),
judged AS (
    SELECT
        measures.measure,
        measures.month,
        measures.team,
        measures.numerator,
        measures.denominator,
        measures.rate,
        measures.lower,
        measures.upper,
        measures.per = 1 AND measures.denominator BETWEEN limits.small_from AND limits.small_to AS is_small_group,
        COALESCE(
            measures.numerator BETWEEN limits.small_from AND limits.small_to
            OR (measures.per = 1 AND measures.denominator BETWEEN limits.small_from AND limits.small_to),
            FALSE
        ) AS is_small
    FROM trends.measures
    CROSS JOIN limits
    WHERE measures.team IS NOT NULL
),
kept_back AS (
    SELECT judged.measure, judged.month, COUNT(*) AS teams, SUM(judged.numerator) AS numerator
    FROM judged
    WHERE judged.is_small
    GROUP BY judged.measure, judged.month
),
given_away AS (
    SELECT kept_back.measure, kept_back.month
    FROM kept_back
    CROSS JOIN limits
    WHERE kept_back.teams = 1
        OR kept_back.numerator <= kept_back.teams * limits.small_from
        OR kept_back.numerator >= kept_back.teams * limits.small_to
),
ranked AS (
    SELECT
        judged.measure,
        judged.month,
        judged.team,
        ROW_NUMBER() OVER (
            PARTITION BY judged.measure, judged.month ORDER BY judged.numerator, judged.team
        ) AS smallest
    FROM judged
    INNER JOIN given_away ON given_away.measure = judged.measure AND given_away.month = judged.month
    WHERE NOT judged.is_small AND judged.numerator IS NOT NULL
),
decided AS (
    SELECT
        judged.measure,
        judged.month,
        judged.team,
        judged.numerator,
        judged.denominator,
        judged.rate,
        judged.lower,
        judged.upper,
        judged.is_small_group,
        judged.is_small OR ranked.team IS NOT NULL AS is_kept_back
    FROM judged
    LEFT JOIN ranked
        ON ranked.measure = judged.measure
        AND ranked.month = judged.month
        AND ranked.team = judged.team
        AND ranked.smallest = 1
)
SELECT
    decided.measure,
    decided.month,
    decided.team,
    decided.is_kept_back,
    CASE WHEN NOT decided.is_kept_back THEN decided.numerator END AS numerator,
    CASE WHEN NOT COALESCE(decided.is_small_group, FALSE) THEN decided.denominator END AS denominator,
    CASE WHEN NOT decided.is_kept_back THEN decided.rate END AS rate,
    CASE WHEN NOT decided.is_kept_back THEN decided.lower END AS lower,
    CASE WHEN NOT decided.is_kept_back THEN decided.upper END AS upper
FROM decided
ORDER BY decided.measure, decided.month, decided.team
