-- question: What total and band does policy give each assessment?
-- grain:    one row per assessment_id
-- key:      assessment_id
-- inputs:   records.assessments, records.assessment_items, records.clients, policy.scales, policy.scale_items, policy.scale_bands
-- beware:   an assessment with some items missing has no total and no band, whatever total it states
-- columns:
--   assessment_id         id         the assessment
--   client_id             id         the person
--   scale                 text       the scale
--   assessed_at           timestamp  when it was scored
--   assessed_at_has_time  boolean    assessed_at is an instant, not a day alone
--   recorded_total        number     the total that the source states
--   recomputed_total      number     the sum of the items; blank unless every item is there
--   total_agrees          boolean    the two totals are equal; blank when one is absent
--   recorded_band         text       the band that the source states
--   recomputed_band       code not_at_risk|at_risk|moderate|high|very_high  the band of the recomputed total, by the policy of that day
--   band_agrees           boolean    the two bands are equal; blank when one is absent
--   is_complete           boolean    every item of the scale has a score
--   missing_items         text       the items without a score, in the order of the scale
--   suits_age             boolean    the scale is meant for the person's age; blank when that cannot be told
--   clinician_level       code assessments.clinician_level  clinical judgement at that time
--   risk_rung             integer    0 low, 1 at risk, 2 high, 3 very high: the rung that counts
--   band                  code not_at_risk|at_risk|moderate|high|very_high  the band that counts
--   total                 number     the total behind the band that counts
--   basis_of_band         code recomputed|recorded_unchecked|worse_of_two  where the band that counts comes from
-- Which band counts: recomputed where the items are there; the worse of the two while the source says another; what the
-- source says where it sent no item at all. Some items missing: none, for a partial sum is not a score.
WITH dated AS (
    SELECT
        assessments.assessment_id,
        assessments.client_id,
        assessments.scale,
        assessments.assessed_at,
        assessments.assessed_at_has_time,
        assessments.recorded_total,
        assessments.recorded_band,
        assessments.clinician_level,
        scales.effective_from,
        scales.worse,
        scales.min_age_months,
        scales.max_age_months
    FROM records.assessments
    LEFT JOIN policy.scales
        ON scales.scale = assessments.scale
        AND scales.effective_from <= CAST(assessments.assessed_at AS DATE)
        AND (scales.effective_to IS NULL OR scales.effective_to > CAST(assessments.assessed_at AS DATE))
),
block_sizes AS (
    SELECT scale, effective_from, COUNT(*) AS item_count
    FROM policy.scale_items
    GROUP BY scale, effective_from
),
-- A score outside the range that was in force on the day counts as missing.
item_sums AS (
    SELECT
        assessment_items.assessment_id,
        COUNT(*) AS sent_count,
        COUNT(scale_items.item) AS scored_count,
        SUM(CASE WHEN scale_items.item IS NOT NULL THEN assessment_items.score END) AS total
    FROM records.assessment_items
    INNER JOIN dated ON dated.assessment_id = assessment_items.assessment_id
    LEFT JOIN policy.scale_items
        ON scale_items.scale = dated.scale
        AND scale_items.effective_from = dated.effective_from
        AND scale_items.item = assessment_items.item
        AND assessment_items.score BETWEEN scale_items.low AND scale_items.high
    GROUP BY assessment_items.assessment_id
),
summed AS (
    SELECT
        dated.assessment_id,
        dated.client_id,
        dated.scale,
        dated.assessed_at,
        dated.assessed_at_has_time,
        dated.recorded_total,
        dated.recorded_band,
        dated.clinician_level,
        dated.effective_from,
        dated.worse,
        dated.min_age_months,
        dated.max_age_months,
        COALESCE(item_sums.sent_count, 0) AS sent_count,
        COALESCE(item_sums.scored_count = block_sizes.item_count, FALSE) AS is_complete,
        CASE
            WHEN item_sums.scored_count = block_sizes.item_count THEN CAST(item_sums.total AS DECIMAL(18, 4))
        END AS recomputed_total
    FROM dated
    LEFT JOIN item_sums ON item_sums.assessment_id = dated.assessment_id
    LEFT JOIN block_sizes ON block_sizes.scale = dated.scale AND block_sizes.effective_from = dated.effective_from
),
missing AS (
    SELECT
        summed.assessment_id,
        STRING_AGG(scale_items.item, '; ' ORDER BY scale_items.position, scale_items.item) AS missing_items
    FROM summed
    INNER JOIN policy.scale_items
        ON scale_items.scale = summed.scale AND scale_items.effective_from = summed.effective_from
    LEFT JOIN records.assessment_items
        ON assessment_items.assessment_id = summed.assessment_id
        AND assessment_items.item = scale_items.item
        AND assessment_items.score BETWEEN scale_items.low AND scale_items.high
    WHERE NOT summed.is_complete AND assessment_items.item IS NULL
    GROUP BY summed.assessment_id
),
-- Bands are put in order by how bad they are, whichever way the scale runs.
bands AS (
    SELECT
        scale_bands.scale,
        scale_bands.effective_from,
        scale_bands.band,
        scale_bands.from_total,
        scale_bands.to_total,
        scale_bands.risk_rung,
        CASE WHEN scales.worse = 'low' THEN -scale_bands.from_total ELSE scale_bands.from_total END AS badness
    FROM policy.scale_bands
    INNER JOIN policy.scales
        ON scales.scale = scale_bands.scale AND scales.effective_from = scale_bands.effective_from
),
banded AS (
    SELECT
        summed.assessment_id,
        recomputed.band AS recomputed_band,
        recomputed.badness AS recomputed_badness,
        recomputed.risk_rung AS recomputed_rung,
        CASE
            WHEN by_total.badness >= COALESCE(by_name.badness, by_total.badness) THEN by_total.band
            ELSE by_name.band
        END AS stated_band,
        CASE
            WHEN by_total.badness >= COALESCE(by_name.badness, by_total.badness) THEN by_total.badness
            ELSE by_name.badness
        END AS stated_badness,
        CASE
            WHEN by_total.badness >= COALESCE(by_name.badness, by_total.badness) THEN by_total.risk_rung
            ELSE by_name.risk_rung
        END AS stated_rung,
        CASE
            WHEN by_total.badness >= COALESCE(by_name.badness, by_total.badness) THEN summed.recorded_total
        END AS stated_total
    FROM summed
    LEFT JOIN bands AS recomputed
        ON recomputed.scale = summed.scale
        AND recomputed.effective_from = summed.effective_from
        AND summed.recomputed_total BETWEEN recomputed.from_total AND recomputed.to_total
    LEFT JOIN bands AS by_total
        ON by_total.scale = summed.scale
        AND by_total.effective_from = summed.effective_from
        AND summed.recorded_total BETWEEN by_total.from_total AND by_total.to_total
    LEFT JOIN bands AS by_name
        ON by_name.scale = summed.scale
        AND by_name.effective_from = summed.effective_from
        AND by_name.band = summed.recorded_band
),
chosen AS (
    SELECT
        assessment_id,
        recomputed_band,
        recomputed_badness,
        recomputed_rung,
        stated_band,
        stated_badness,
        stated_rung,
        stated_total,
        COALESCE(stated_badness > recomputed_badness, FALSE) AS is_stated_worse
    FROM banded
)
SELECT
    summed.assessment_id,
    summed.client_id,
    summed.scale,
    summed.assessed_at,
    summed.assessed_at_has_time,
    summed.recorded_total,
    summed.recomputed_total,
    summed.recorded_total = summed.recomputed_total AS total_agrees,
    summed.recorded_band,
    chosen.recomputed_band,
    summed.recorded_band = chosen.recomputed_band AS band_agrees,
    summed.is_complete,
    missing.missing_items,
    CASE
        WHEN clients.age_months IS NULL AND clients.age_years IS NULL THEN NULL
        WHEN summed.effective_from IS NULL THEN NULL
        WHEN COALESCE(clients.age_months, clients.age_years * 12 + 11) < COALESCE(summed.min_age_months, 0) THEN FALSE
        WHEN COALESCE(clients.age_months, clients.age_years * 12) > summed.max_age_months THEN FALSE
        WHEN COALESCE(clients.age_months, clients.age_years * 12) < COALESCE(summed.min_age_months, 0) THEN NULL
        WHEN COALESCE(clients.age_months, clients.age_years * 12 + 11) > summed.max_age_months THEN NULL
        ELSE TRUE
    END AS suits_age,
    summed.clinician_level,
    CASE
        WHEN summed.is_complete AND NOT chosen.is_stated_worse THEN chosen.recomputed_rung
        WHEN summed.is_complete OR summed.sent_count = 0 THEN chosen.stated_rung
    END AS risk_rung,
    CASE
        WHEN summed.is_complete AND NOT chosen.is_stated_worse THEN chosen.recomputed_band
        WHEN summed.is_complete OR summed.sent_count = 0 THEN chosen.stated_band
    END AS band,
    CASE
        WHEN summed.is_complete AND NOT chosen.is_stated_worse THEN summed.recomputed_total
        WHEN summed.is_complete OR summed.sent_count = 0 THEN chosen.stated_total
    END AS total,
    CASE
        WHEN summed.is_complete AND chosen.stated_badness <> chosen.recomputed_badness THEN 'worse_of_two'
        WHEN summed.is_complete AND chosen.recomputed_band IS NOT NULL THEN 'recomputed'
        WHEN summed.sent_count = 0 AND chosen.stated_band IS NOT NULL THEN 'recorded_unchecked'
    END AS basis_of_band
FROM summed
INNER JOIN chosen ON chosen.assessment_id = summed.assessment_id
LEFT JOIN missing ON missing.assessment_id = summed.assessment_id
LEFT JOIN records.clients ON clients.client_id = summed.client_id
