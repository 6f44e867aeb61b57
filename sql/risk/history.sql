-- question: How long after the one before was each assessment made?
-- grain:    one row per assessment_id
-- key:      assessment_id
-- inputs:   risk.scores, records.placements
-- beware:   the one before is the newest earlier one on the same scale that had a band: an incomplete one restarts no clock
-- stored:   view
-- columns:
--   assessment_id         id         the assessment
--   client_id             id         the person
--   scale                 text       the scale
--   assessed_at           timestamp  when it was scored
--   assessed_at_has_time  boolean    assessed_at is an instant, not a day alone
--   recorded_total        number     the total that the source states
--   recomputed_total      number     the sum of the items; blank unless every item is there
--   total_agrees          boolean    the two totals are equal
--   recorded_band         text       the band that the source states
--   recomputed_band       code not_at_risk|at_risk|moderate|high|very_high  the band of the recomputed total
--   band_agrees           boolean    the two bands are equal
--   is_complete           boolean    every item of the scale has a score
--   missing_items         text       the items without a score
--   suits_age             boolean    the scale is meant for the person's age
--   clinician_level       code assessments.clinician_level  clinical judgement at that time
--   risk_rung             integer    0 low, 1 at risk, 2 high, 3 very high
--   band                  code not_at_risk|at_risk|moderate|high|very_high  the band that counts
--   total                 number     the total behind the band that counts
--   basis_of_band         code recomputed|recorded_unchecked|worse_of_two  where the band that counts comes from
--   placement_id          id         the stay it was made in; the one that began last where stays overlap
--   team           text       the team of that stay
--   hours_since_previous  number     h, to the one before; blank when either has a day alone
--   hours_since_previous_in_placement  number  h, to the one before in the same stay; blank when either has a day alone
-- A person's stays are numbered once, newest first. Most people have one stay, which an assessment only has to fit into;
-- for the others the smallest number that fits is looked for first.
WITH numbered AS (
    SELECT
        placements.placement_id,
        placements.client_id,
        placements.team,
        placements.started_at,
        placements.ended_at,
        CASE
            WHEN placements.started_at_has_time THEN placements.started_at
            ELSE CAST(CAST(placements.started_at AS DATE) AS TIMESTAMP)
        END AS from_at,
        CASE
            WHEN placements.ended_at_has_time THEN placements.ended_at
            ELSE CAST(CAST(placements.ended_at AS DATE) + 1 AS TIMESTAMP)
        END AS until_at,
        ROW_NUMBER() OVER (
            PARTITION BY placements.client_id
            ORDER BY placements.started_at DESC, placements.placement_id
        ) AS place,
        COUNT(*) OVER (PARTITION BY placements.client_id) AS stays
    FROM records.placements
),
-- A time rules a stay out only where both sides have one; on the shared day either may hold.
newest_of_several AS (
    SELECT scores.assessment_id, MIN(numbered.place) AS place
    FROM risk.scores
    INNER JOIN numbered
        ON numbered.client_id = scores.client_id
        AND CASE
            WHEN scores.assessed_at_has_time THEN
                numbered.from_at <= scores.assessed_at
                AND (numbered.ended_at IS NULL OR numbered.until_at > scores.assessed_at)
            ELSE
                CAST(numbered.started_at AS DATE) <= CAST(scores.assessed_at AS DATE)
                AND (numbered.ended_at IS NULL OR CAST(numbered.ended_at AS DATE) >= CAST(scores.assessed_at AS DATE))
        END
    WHERE numbered.stays > 1
    GROUP BY scores.assessment_id
),
timed AS (
    SELECT
        scores.assessment_id,
        scores.client_id,
        scores.scale,
        scores.assessed_at,
        scores.assessed_at_has_time,
        scores.recorded_total,
        scores.recomputed_total,
        scores.total_agrees,
        scores.recorded_band,
        scores.recomputed_band,
        scores.band_agrees,
        scores.is_complete,
        scores.missing_items,
        scores.suits_age,
        scores.clinician_level,
        scores.risk_rung,
        scores.band,
        scores.total,
        scores.basis_of_band,
        numbered.placement_id,
        numbered.team,
        CASE WHEN scores.band IS NOT NULL THEN scores.assessed_at END AS usable_at,
        CASE WHEN scores.band IS NOT NULL AND scores.assessed_at_has_time THEN scores.assessed_at END AS usable_instant
    FROM risk.scores
    LEFT JOIN newest_of_several ON newest_of_several.assessment_id = scores.assessment_id
    LEFT JOIN numbered
        ON numbered.client_id = scores.client_id
        AND (numbered.stays = 1 OR numbered.place = newest_of_several.place)
        AND CASE
            WHEN scores.assessed_at_has_time THEN
                numbered.from_at <= scores.assessed_at
                AND (numbered.ended_at IS NULL OR numbered.until_at > scores.assessed_at)
            ELSE
                CAST(numbered.started_at AS DATE) <= CAST(scores.assessed_at AS DATE)
                AND (numbered.ended_at IS NULL OR CAST(numbered.ended_at AS DATE) >= CAST(scores.assessed_at AS DATE))
        END
),
preceded AS (
    SELECT
        assessment_id,
        client_id,
        scale,
        assessed_at,
        assessed_at_has_time,
        recorded_total,
        recomputed_total,
        total_agrees,
        recorded_band,
        recomputed_band,
        band_agrees,
        is_complete,
        missing_items,
        suits_age,
        clinician_level,
        risk_rung,
        band,
        total,
        basis_of_band,
        placement_id,
        team,
        MAX(usable_at) OVER (
            PARTITION BY client_id, scale ORDER BY assessed_at, assessment_id
            ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING
        ) AS previous_at,
        MAX(usable_instant) OVER (
            PARTITION BY client_id, scale ORDER BY assessed_at, assessment_id
            ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING
        ) AS previous_instant,
        MAX(usable_at) OVER (
            PARTITION BY client_id, scale, placement_id ORDER BY assessed_at, assessment_id
            ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING
        ) AS previous_at_here,
        MAX(usable_instant) OVER (
            PARTITION BY client_id, scale, placement_id ORDER BY assessed_at, assessment_id
            ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING
        ) AS previous_instant_here
    FROM timed
),
seconds AS (
    SELECT
        assessment_id,
        client_id,
        scale,
        assessed_at,
        assessed_at_has_time,
        recorded_total,
        recomputed_total,
        total_agrees,
        recorded_band,
        recomputed_band,
        band_agrees,
        is_complete,
        missing_items,
        suits_age,
        clinician_level,
        risk_rung,
        band,
        total,
        basis_of_band,
        placement_id,
        team,
        CASE
            WHEN assessed_at_has_time AND previous_instant = previous_at THEN
                DATE_DIFF('day', CAST(previous_at AS DATE), CAST(assessed_at AS DATE)) * 86400
                + (EXTRACT(HOUR FROM assessed_at) - EXTRACT(HOUR FROM previous_at)) * 3600
                + (EXTRACT(MINUTE FROM assessed_at) - EXTRACT(MINUTE FROM previous_at)) * 60
                + EXTRACT(SECOND FROM assessed_at) - EXTRACT(SECOND FROM previous_at)
        END AS since_previous,
        CASE
            WHEN placement_id IS NOT NULL AND assessed_at_has_time AND previous_instant_here = previous_at_here THEN
                DATE_DIFF('day', CAST(previous_at_here AS DATE), CAST(assessed_at AS DATE)) * 86400
                + (EXTRACT(HOUR FROM assessed_at) - EXTRACT(HOUR FROM previous_at_here)) * 3600
                + (EXTRACT(MINUTE FROM assessed_at) - EXTRACT(MINUTE FROM previous_at_here)) * 60
                + EXTRACT(SECOND FROM assessed_at) - EXTRACT(SECOND FROM previous_at_here)
        END AS since_previous_here
    FROM preceded
)
SELECT
    assessment_id,
    client_id,
    scale,
    assessed_at,
    assessed_at_has_time,
    recorded_total,
    recomputed_total,
    total_agrees,
    recorded_band,
    recomputed_band,
    band_agrees,
    is_complete,
    missing_items,
    suits_age,
    clinician_level,
    risk_rung,
    band,
    total,
    basis_of_band,
    placement_id,
    team,
    CAST(CAST(since_previous AS DECIMAL(18, 4)) / 3600 AS DECIMAL(18, 4)) AS hours_since_previous,
    CAST(CAST(since_previous_here AS DECIMAL(18, 4)) / 3600 AS DECIMAL(18, 4)) AS hours_since_previous_in_placement
FROM seconds
