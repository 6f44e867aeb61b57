-- question: How much risk does each person's newest usable score stand for today?
-- grain:    one row per person with any assessment
-- key:      client_id
-- inputs:   risk.latest, risk.local_bands, risk.scores, policy.scales, state.placements, policy.score_age_limits, policy.need_levels, review.parameters
-- beware:   past its age limit a high score stands until somebody scores again; a low one becomes unknown
-- columns:
--   client_id              id                               the person
--   risk_rung              integer                          0 low to 3 very high, from the scores alone; keeps when worse
--   clinician_rung         integer                          what clinical judgement raises it to; blank where none was given
--   clinician_level        code low|at_risk|high|very_high  that judgement
--   risk_scale             text                             the scale that drives it, or the newest one where none can
--   risk_band              code not_at_risk|at_risk|moderate|high|very_high  that score's band
--   risk_total             number                           that score's total
--   risk_assessment_id     id                               that assessment
--   risk_assessed_on       date                             the day it was scored
--   risk_age_days          integer                          days since then
--   risk_max_age_days      integer                          how old policy lets such a score be in this setting
--   risk_is_stale          boolean                          older than that; blank where no limit can be told
--   risk_is_wrong_for_age  boolean                          every banded score is on a scale made for another age
--   risk_suits_setting     boolean                          that scale is made for where the person is; blank where that is not known
--   has_usable_score       boolean                          at least one banded score on a scale not known to be wrong for the age
--   has_newer_incomplete   boolean                          somebody started a newer score of that scale and left items out
--   last_banded_on         date                             the newest day with a banded score of any scale
WITH high AS (
    SELECT MIN(need_levels.rung) AS rung FROM policy.need_levels AS need_levels WHERE need_levels.need_level = 'high'
),
aged AS (
    SELECT
        latest.client_id,
        latest.scale,
        latest.assessment_id,
        latest.assessed_at,
        latest.total,
        COALESCE(local_bands.band, latest.band) AS band,
        COALESCE(local_bands.risk_rung, latest.risk_rung) AS risk_rung,
        latest.suits_age,
        latest.incomplete_since,
        placements.care_setting,
        CAST(date_diff('day', CAST(latest.assessed_at AS DATE), parameters.as_of) AS INTEGER) AS age_days
    FROM risk.latest AS latest
    CROSS JOIN review.parameters AS parameters
    LEFT JOIN state.placements AS placements ON placements.client_id = latest.client_id AND placements.is_leading
    LEFT JOIN risk.local_bands AS local_bands
        ON local_bands.client_id = latest.client_id AND local_bands.scale = latest.scale
),
limits AS (
    SELECT aged.client_id, aged.scale, MIN(score_age_limits.max_age_days) AS max_age_days
    FROM aged
    CROSS JOIN policy.score_age_limits AS score_age_limits
    WHERE (score_age_limits.care_setting = aged.care_setting OR score_age_limits.care_setting IS NULL)
        AND (score_age_limits.risk_rung = aged.risk_rung OR score_age_limits.risk_rung IS NULL)
    GROUP BY aged.client_id, aged.scale
),
judged AS (
    SELECT
        aged.*,
        limits.max_age_days,
        aged.age_days > limits.max_age_days AS is_stale,
        aged.risk_rung IS NOT NULL
            AND COALESCE(aged.suits_age, FALSE)
            AND COALESCE(aged.age_days <= limits.max_age_days, FALSE) AS is_fresh,
        aged.risk_rung IS NOT NULL AND COALESCE(aged.suits_age, TRUE) AND aged.risk_rung >= high.rung AS may_stand
    FROM aged
    CROSS JOIN high
    LEFT JOIN limits ON limits.client_id = aged.client_id AND limits.scale = aged.scale
),
people AS (
    SELECT
        judged.client_id,
        MAX(CASE WHEN judged.is_fresh THEN judged.assessed_at END) AS newest_fresh_at,
        MAX(CASE WHEN judged.risk_rung IS NOT NULL THEN judged.assessed_at END) AS newest_banded_at,
        COUNT(judged.risk_rung) AS banded,
        COUNT(CASE WHEN judged.risk_rung IS NOT NULL AND COALESCE(judged.suits_age, TRUE) THEN 1 END) AS usable
    FROM judged
    GROUP BY judged.client_id
),
drivers AS (
    -- An old high score on one scale gives way to a newer score in date on another: that is a rescore too.
    SELECT
        judged.*,
        people.banded,
        people.usable,
        people.newest_banded_at,
        judged.is_fresh OR (
            judged.may_stand AND (people.newest_fresh_at IS NULL OR judged.assessed_at >= people.newest_fresh_at)
        ) AS drives
    FROM judged
    INNER JOIN people ON people.client_id = judged.client_id
),
ranked AS (
    SELECT
        drivers.*,
        ROW_NUMBER() OVER (
            PARTITION BY drivers.client_id
            ORDER BY
                drivers.drives DESC,
                CASE WHEN drivers.drives THEN drivers.risk_rung END DESC,
                drivers.assessed_at DESC NULLS LAST,
                drivers.scale
        ) AS place
    FROM drivers
),
judgements AS (
    -- Judgement stands until a complete score is made after it; an incomplete one lowers nothing.
    SELECT scores.client_id, MAX(need_levels.rung) AS rung
    FROM risk.scores AS scores
    CROSS JOIN policy.need_levels AS need_levels
    CROSS JOIN people
    WHERE need_levels.need_level = scores.clinician_level
        AND people.client_id = scores.client_id
        AND (people.newest_banded_at IS NULL OR scores.assessed_at >= people.newest_banded_at)
    GROUP BY scores.client_id
)
SELECT
    ranked.client_id,
    CASE WHEN ranked.drives THEN ranked.risk_rung END AS risk_rung,
    judgements.rung AS clinician_rung,
    need_levels.need_level AS clinician_level,
    ranked.scale AS risk_scale,
    ranked.band AS risk_band,
    ranked.total AS risk_total,
    ranked.assessment_id AS risk_assessment_id,
    CAST(ranked.assessed_at AS DATE) AS risk_assessed_on,
    ranked.age_days AS risk_age_days,
    ranked.max_age_days AS risk_max_age_days,
    ranked.is_stale AS risk_is_stale,
    CASE WHEN ranked.banded > 0 THEN ranked.usable = 0 END AS risk_is_wrong_for_age,
    CASE
        WHEN scales.scale IS NOT NULL AND scales.care_settings IS NULL THEN TRUE
        ELSE POSITION('; ' || ranked.care_setting || ';' IN '; ' || scales.care_settings || ';') > 0
    END AS risk_suits_setting,
    ranked.usable > 0 AS has_usable_score,
    ranked.incomplete_since AS has_newer_incomplete,
    CAST(ranked.newest_banded_at AS DATE) AS last_banded_on
FROM ranked
LEFT JOIN judgements ON judgements.client_id = ranked.client_id
LEFT JOIN policy.need_levels AS need_levels ON need_levels.rung = judgements.rung
LEFT JOIN policy.scales AS scales
    ON scales.scale = ranked.scale
    AND scales.effective_from <= CAST(ranked.assessed_at AS DATE)
    AND (scales.effective_to IS NULL OR scales.effective_to > CAST(ranked.assessed_at AS DATE))
WHERE ranked.place = 1
