-- question: What is each person's newest usable score on each scale?
-- grain:    one row per person and scale
-- key:      client_id, scale
-- inputs:   risk.scores
-- beware:   a newer incomplete assessment does not take the place of an older usable one: it is said in incomplete_since
-- columns:
--   client_id             id         the person
--   scale                 text       the scale
--   assessment_id         id         the newest assessment with a band; blank when there is none
--   assessed_at           timestamp  when that was scored
--   assessed_at_has_time  boolean    assessed_at is an instant, not a day alone
--   total                 number     its total
--   band                  code not_at_risk|at_risk|moderate|high|very_high  its band
--   risk_rung             integer    0 low, 1 at risk, 2 high, 3 very high
--   basis_of_band         code recomputed|recorded_unchecked|worse_of_two  where the band comes from
--   suits_age             boolean    the scale is meant for the person's age
--   clinician_level       code assessments.clinician_level  clinical judgement at that time
--   last_assessed_at      timestamp  the newest assessment of any kind, usable or not
--   incomplete_since      boolean    somebody scored the scale later, without a usable result
-- Two at the same moment: the worse one stands, since nobody can say which was meant to correct the other.
-- Only the rows of that moment are put in order, not all that were ever scored.
WITH looked_at AS (
    SELECT
        client_id,
        scale,
        MAX(assessed_at) AS last_assessed_at,
        MAX(CASE WHEN band IS NOT NULL THEN assessed_at END) AS usable_at
    FROM risk.scores
    GROUP BY client_id, scale
),
usable AS (
    SELECT
        scores.client_id,
        scores.scale,
        scores.assessment_id,
        scores.assessed_at,
        scores.assessed_at_has_time,
        scores.total,
        scores.band,
        scores.risk_rung,
        scores.basis_of_band,
        scores.suits_age,
        scores.clinician_level,
        ROW_NUMBER() OVER (
            PARTITION BY scores.client_id, scores.scale
            ORDER BY scores.risk_rung DESC NULLS LAST, scores.assessment_id
        ) AS place
    FROM risk.scores
    INNER JOIN looked_at
        ON looked_at.client_id = scores.client_id
        AND looked_at.scale = scores.scale
        AND looked_at.usable_at = scores.assessed_at
)
SELECT
    looked_at.client_id,
    looked_at.scale,
    usable.assessment_id,
    usable.assessed_at,
    usable.assessed_at_has_time,
    usable.total,
    usable.band,
    usable.risk_rung,
    usable.basis_of_band,
    usable.suits_age,
    usable.clinician_level,
    looked_at.last_assessed_at,
    usable.assessed_at IS NULL OR usable.assessed_at < looked_at.last_assessed_at AS incomplete_since
FROM looked_at
LEFT JOIN usable
    ON usable.client_id = looked_at.client_id
    AND usable.scale = looked_at.scale
    AND usable.place = 1
