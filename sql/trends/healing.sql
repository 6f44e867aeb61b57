-- question: How long does it take until pressure injuries are found healed?
-- grain:    one row per first stage and number of days at which one of them healed or its person died; one stage blank: all
-- key:      first_stage?, days
-- inputs:   wounds.episodes, records.placements, policy.parameters
-- beware:   where people died, 1 - not_healed counts as if they might still heal: healed_share is what came about
-- stored:   view
-- columns:
--   first_stage           code injuries.stage  the first stage that anybody gave them; blank = all of them
--   days                  integer  days since the first look that found it open
--   injuries              integer  all injuries of that first stage that were followed, from their first look on
--   at_risk               integer  injuries that were still open and followed up on the day before
--   healed                integer  of them, found healed after so many days
--   died                  integer  of them, open when their person died
--   not_healed            number   share, Kaplan-Meier: not healed by then, a death taken as the end of follow-up
--   not_healed_error      number   its standard error (Greenwood); blank once nobody is left
--   healed_share          number   share, cumulative incidence (Aalen and Johansen): healed by then
--   died_share            number   share, cumulative incidence: died by then with the injury open
-- An injury is followed to its newest look, or to a death so soon after it that it was open still, by the same number of days
-- for which an open injury that nobody looked at stays in the prevalence. It heals when a look finds it healed, so rare looks
-- make healing look slower. Stages heal at different speeds: compare a stage with itself only.
WITH deaths AS (
    SELECT placements.client_id, MIN(CAST(placements.ended_at AS DATE)) AS died_on
    FROM records.placements
    WHERE placements.end_reason = 'died'
    GROUP BY placements.client_id
),
seen AS (
    SELECT MAX(amount) AS within_days
    FROM policy.parameters
    WHERE name = 'injury_seen_within_days'
),
courses AS (
    SELECT
        episodes.first_stage,
        episodes.seen_open_on,
        episodes.healed_on,
        episodes.last_seen_on,
        CASE
            WHEN episodes.healed_on IS NULL
                AND date_diff('day', episodes.last_seen_on, deaths.died_on) BETWEEN 0 AND seen.within_days
                THEN deaths.died_on
        END AS died_on
    FROM wounds.episodes
    CROSS JOIN seen
    LEFT JOIN deaths ON deaths.client_id = episodes.client_id
    WHERE COALESCE(episodes.is_pressure, TRUE) AND episodes.seen_open_on IS NOT NULL
),
followed AS (
    SELECT
        courses.first_stage,
        date_diff('day', courses.seen_open_on, COALESCE(courses.healed_on, courses.died_on, courses.last_seen_on)) AS days,
        CASE WHEN courses.healed_on IS NOT NULL THEN 1 ELSE 0 END AS has_healed,
        CASE WHEN courses.died_on IS NOT NULL THEN 1 ELSE 0 END AS has_died
    FROM courses
),
grouped AS (
    SELECT followed.first_stage, followed.days, followed.has_healed, followed.has_died
    FROM followed
    UNION ALL
    SELECT CAST(NULL AS VARCHAR) AS first_stage, followed.days, followed.has_healed, followed.has_died
    FROM followed
),
by_day AS (
    SELECT
        grouped.first_stage,
        grouped.days,
        COUNT(*) AS injuries,
        SUM(grouped.has_healed) AS healed,
        SUM(grouped.has_died) AS died
    FROM grouped
    GROUP BY grouped.first_stage, grouped.days
),
with_risk AS (
    SELECT
        by_day.first_stage,
        by_day.days,
        by_day.healed,
        by_day.died,
        SUM(by_day.injuries) OVER (PARTITION BY by_day.first_stage) AS injuries,
        SUM(by_day.injuries) OVER (
            PARTITION BY by_day.first_stage ORDER BY by_day.days DESC ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS at_risk
    FROM by_day
),
-- A product is the sum of logarithms; where all that are left end at once it is nought, which has none.
stepped AS (
    SELECT
        with_risk.*,
        CAST(SUM(LN(CAST(NULLIF(at_risk - healed, 0) AS DOUBLE) / NULLIF(at_risk, 0))) OVER (
            PARTITION BY first_stage ORDER BY days ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS DECIMAL(18, 12)) AS log_not_healed,
        CAST(SUM(LN(CAST(NULLIF(at_risk - healed - died, 0) AS DOUBLE) / NULLIF(at_risk, 0))) OVER (
            PARTITION BY first_stage ORDER BY days ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING
        ) AS DECIMAL(18, 12)) AS log_open_before,
        CAST(SUM(CAST(healed AS DOUBLE) / NULLIF(CAST(at_risk AS DOUBLE) * (at_risk - healed), 0)) OVER (
            PARTITION BY first_stage ORDER BY days ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS DECIMAL(18, 12)) AS variance
    FROM with_risk
),
shared AS (
    SELECT
        stepped.*,
        -- Whoever is left when all that are left heal at once is the last row of its stage.
        CASE WHEN stepped.at_risk = stepped.healed THEN 0 ELSE EXP(stepped.log_not_healed) END AS not_healed,
        EXP(COALESCE(stepped.log_open_before, 0)) / NULLIF(stepped.at_risk, 0) AS weight
    FROM stepped
),
summed AS (
    SELECT
        shared.*,
        CAST(SUM(shared.weight * shared.healed) OVER (
            PARTITION BY shared.first_stage ORDER BY shared.days ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS DECIMAL(18, 12)) AS healed_share,
        CAST(SUM(shared.weight * shared.died) OVER (
            PARTITION BY shared.first_stage ORDER BY shared.days ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS DECIMAL(18, 12)) AS died_share
    FROM shared
)
SELECT
    summed.first_stage,
    CAST(summed.days AS INTEGER) AS days,
    CAST(summed.injuries AS INTEGER) AS injuries,
    CAST(summed.at_risk AS INTEGER) AS at_risk,
    CAST(summed.healed AS INTEGER) AS healed,
    CAST(summed.died AS INTEGER) AS died,
    CAST(summed.not_healed AS DECIMAL(18, 6)) AS not_healed,
    CAST(
        CASE WHEN summed.at_risk > summed.healed THEN summed.not_healed * SQRT(summed.variance) END AS DECIMAL(18, 6)
    ) AS not_healed_error,
    CAST(summed.healed_share AS DECIMAL(18, 6)) AS healed_share,
    CAST(summed.died_share AS DECIMAL(18, 6)) AS died_share
FROM summed
WHERE summed.healed + summed.died > 0
