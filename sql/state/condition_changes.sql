-- question: What has changed in each person since they were last scored, and on which day first?
-- grain:    one row per person and kind of change
-- key:      client_id, change_kind
-- inputs:   risk.latest, state.clocks, records.circumstances, wounds.open, policy.parameters
-- beware:   what a score on that day or later has seen is not listed, nor what came before this stay; a move is in state.clocks
-- columns:
--   client_id    id    the person
--   change_kind  code fall|surgery|acute_illness|weight|wound  what changed
--   changed_on   date  the first day of it that no score has seen
WITH scored AS (
    SELECT latest.client_id, MAX(CAST(latest.assessed_at AS DATE)) AS scored_on
    FROM risk.latest AS latest
    WHERE latest.band IS NOT NULL AND COALESCE(latest.suits_age, TRUE)
    GROUP BY latest.client_id
),
people AS (
    SELECT
        clocks.client_id,
        scored.scored_on,
        GREATEST(scored.scored_on + 1, CAST(clocks.began_at AS DATE)) AS from_on
    FROM state.clocks AS clocks
    INNER JOIN scored ON scored.client_id = clocks.client_id
),
noted AS (
    SELECT
        people.client_id,
        people.scored_on,
        people.from_on,
        circumstances.observed_on,
        circumstances.weight_kg,
        circumstances.fell_on,
        circumstances.surgery_on,
        circumstances.flap_surgery_on,
        circumstances.acute_illness_on
    FROM people
    INNER JOIN records.circumstances AS circumstances ON circumstances.client_id = people.client_id
),
-- The weight that the last score knew is what later ones are compared with, so a loss that it has seen counts no second time.
weighed AS (
    SELECT noted.client_id, MAX(noted.observed_on) AS weighed_on
    FROM noted
    WHERE noted.weight_kg IS NOT NULL AND noted.observed_on <= noted.scored_on
    GROUP BY noted.client_id
),
limits AS (
    SELECT
        MAX(CASE WHEN parameters.name = 'weight_change_soon_days' THEN parameters.amount END) AS soon_days,
        MAX(CASE WHEN parameters.name = 'weight_change_soon_percent' THEN parameters.amount END) AS soon_percent,
        MAX(CASE WHEN parameters.name = 'weight_change_slow_days' THEN parameters.amount END) AS slow_days,
        MAX(CASE WHEN parameters.name = 'weight_change_slow_percent' THEN parameters.amount END) AS slow_percent,
        MAX(CASE WHEN parameters.name = 'weight_unit_error_from' THEN parameters.amount END) AS unit_error_from,
        MAX(CASE WHEN parameters.name = 'weight_unit_error_to' THEN parameters.amount END) AS unit_error_to
    FROM policy.parameters AS parameters
),
weights AS (
    SELECT
        later.client_id,
        later.from_on,
        later.observed_on,
        GREATEST(later.weight_kg, earlier.weight_kg) AS heavier_kg,
        LEAST(later.weight_kg, earlier.weight_kg) AS lighter_kg,
        ABS(later.weight_kg - earlier.weight_kg) * 100 AS hundredfold_kg,
        earlier.weight_kg AS earlier_kg,
        date_diff('day', earlier.observed_on, later.observed_on) AS days
    FROM noted AS later
    INNER JOIN noted AS earlier ON earlier.client_id = later.client_id
    LEFT JOIN weighed ON weighed.client_id = later.client_id
    WHERE earlier.observed_on < later.observed_on
        AND (weighed.weighed_on IS NULL OR earlier.observed_on >= weighed.weighed_on)
),
happened AS (
    SELECT noted.client_id, noted.from_on, 'fall' AS change_kind, noted.fell_on AS changed_on FROM noted
    UNION ALL
    SELECT noted.client_id, noted.from_on, 'surgery' AS change_kind, noted.surgery_on AS changed_on FROM noted
    UNION ALL
    SELECT noted.client_id, noted.from_on, 'surgery' AS change_kind, noted.flap_surgery_on AS changed_on FROM noted
    UNION ALL
    SELECT noted.client_id, noted.from_on, 'acute_illness' AS change_kind, noted.acute_illness_on AS changed_on FROM noted
    UNION ALL
    SELECT people.client_id, people.from_on, 'wound' AS change_kind, injuries.first_seen_on AS changed_on
    FROM people
    INNER JOIN wounds.open AS injuries ON injuries.client_id = people.client_id AND COALESCE(injuries.is_pressure, TRUE)
    UNION ALL
    SELECT weights.client_id, weights.from_on, 'weight' AS change_kind, weights.observed_on AS changed_on
    FROM weights
    CROSS JOIN limits
    WHERE (
            (weights.days <= limits.soon_days AND weights.hundredfold_kg >= weights.earlier_kg * limits.soon_percent)
            OR (weights.days <= limits.slow_days AND weights.hundredfold_kg >= weights.earlier_kg * limits.slow_percent)
        )
        -- Pounds written as kilograms, or the other way round, are no illness.
        AND NOT weights.heavier_kg BETWEEN weights.lighter_kg * limits.unit_error_from AND weights.lighter_kg * limits.unit_error_to
)
SELECT happened.client_id, happened.change_kind, MIN(happened.changed_on) AS changed_on
FROM happened
WHERE happened.changed_on >= happened.from_on
GROUP BY happened.client_id, happened.change_kind
