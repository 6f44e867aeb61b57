-- question: What total and band does policy give each assessment?
-- grain:    one row per assessment_id
-- key:      assessment_id
-- inputs:   records.assessments, records.clients, policy.scales, policy.scale_items, policy.scale_bands
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
-- Each item of a scale is one bit, so that what is missing can be named once for each pattern and not once for each row.
WITH item_bits AS (
    SELECT
        scale_items.scale,
        scale_items.effective_from,
        scale_items.item,
        scale_items.low,
        scale_items.high,
        scale_items.position,
        CAST(POWER(2, ROW_NUMBER() OVER (
            PARTITION BY scale_items.scale, scale_items.effective_from
            ORDER BY scale_items.position, scale_items.item
        ) - 1) AS BIGINT) AS bit
    FROM policy.scale_items
),
block_sizes AS (
    SELECT scale, effective_from, SUM(bit) AS all_bits
    FROM item_bits
    GROUP BY scale, effective_from
),
-- Many people have the same items with the same scores, so each such form is added up once.
forms AS (
    SELECT DISTINCT assessments.scale, assessments.items
    FROM records.assessments
    WHERE assessments.items IS NOT NULL
),
opened AS (
    SELECT forms.scale, forms.items, UNNEST(STRING_SPLIT(forms.items, '; ')) AS entry
    FROM forms
),
-- A score outside the range that was in force on the day counts as missing.
form_sums AS (
    SELECT
        opened.scale,
        opened.items,
        item_bits.effective_from,
        CAST(SUM(item_bits.bit) AS BIGINT) AS bits,
        SUM(CAST(SPLIT_PART(opened.entry, ' ', 2) AS DECIMAL(18, 4))) AS total
    FROM opened
    INNER JOIN item_bits
        ON item_bits.scale = opened.scale
        AND item_bits.item = SPLIT_PART(opened.entry, ' ', 1)
        AND CAST(SPLIT_PART(opened.entry, ' ', 2) AS DECIMAL(18, 4)) BETWEEN item_bits.low AND item_bits.high
    GROUP BY opened.scale, opened.items, item_bits.effective_from
),
patterns AS (
    SELECT DISTINCT bits FROM form_sums
    UNION
    SELECT 0 AS bits
),
missing AS (
    SELECT
        item_bits.scale,
        item_bits.effective_from,
        patterns.bits,
        STRING_AGG(item_bits.item, '; ' ORDER BY item_bits.position, item_bits.item) AS missing_items
    FROM patterns
    CROSS JOIN item_bits
    WHERE FLOOR(patterns.bits / NULLIF(item_bits.bit, 0)) % 2 = 0
    GROUP BY item_bits.scale, item_bits.effective_from, patterns.bits
),
summed AS (
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
        scales.min_age_months,
        scales.max_age_months,
        assessments.items IS NULL AS has_no_item,
        COALESCE(form_sums.bits, 0) AS bits,
        COALESCE(form_sums.bits = block_sizes.all_bits, FALSE) AS is_complete,
        CASE WHEN form_sums.bits = block_sizes.all_bits THEN CAST(form_sums.total AS DECIMAL(18, 4)) END AS recomputed_total
    FROM records.assessments
    LEFT JOIN policy.scales
        ON scales.scale = assessments.scale
        AND scales.effective_from <= CAST(assessments.assessed_at AS DATE)
        AND (scales.effective_to IS NULL OR scales.effective_to > CAST(assessments.assessed_at AS DATE))
    LEFT JOIN form_sums
        ON form_sums.scale = assessments.scale
        AND form_sums.items = assessments.items
        AND form_sums.effective_from = scales.effective_from
    LEFT JOIN block_sizes ON block_sizes.scale = scales.scale AND block_sizes.effective_from = scales.effective_from
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
        summed.client_id,
        summed.scale,
        summed.assessed_at,
        summed.assessed_at_has_time,
        summed.recorded_total,
        summed.recomputed_total,
        summed.recorded_band,
        summed.clinician_level,
        summed.effective_from,
        summed.min_age_months,
        summed.max_age_months,
        summed.has_no_item,
        summed.bits,
        summed.is_complete,
        recomputed.band AS recomputed_band,
        recomputed.badness AS recomputed_badness,
        recomputed.risk_rung AS recomputed_rung,
        COALESCE(by_total.badness >= by_name.badness, by_total.badness IS NOT NULL) AS is_stated_by_total,
        by_total.band AS total_band,
        by_total.badness AS total_badness,
        by_total.risk_rung AS total_rung,
        by_name.band AS named_band,
        by_name.badness AS named_badness,
        by_name.risk_rung AS named_rung
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
-- What the source states: the band of its total or the band that it names, whichever is worse.
stated AS (
    SELECT
        banded.assessment_id,
        banded.client_id,
        banded.scale,
        banded.assessed_at,
        banded.assessed_at_has_time,
        banded.recorded_total,
        banded.recomputed_total,
        banded.recorded_band,
        banded.clinician_level,
        banded.effective_from,
        banded.min_age_months,
        banded.max_age_months,
        banded.has_no_item,
        banded.bits,
        banded.is_complete,
        banded.recomputed_band,
        banded.recomputed_badness,
        banded.recomputed_rung,
        CASE WHEN banded.is_stated_by_total THEN banded.total_band ELSE banded.named_band END AS stated_band,
        CASE WHEN banded.is_stated_by_total THEN banded.total_badness ELSE banded.named_badness END AS stated_badness,
        CASE WHEN banded.is_stated_by_total THEN banded.total_rung ELSE banded.named_rung END AS stated_rung,
        CASE WHEN banded.is_stated_by_total THEN banded.recorded_total END AS stated_total
    FROM banded
),
chosen AS (
    SELECT
        stated.assessment_id,
        stated.client_id,
        stated.scale,
        stated.assessed_at,
        stated.assessed_at_has_time,
        stated.recorded_total,
        stated.recomputed_total,
        stated.recorded_band,
        stated.recomputed_band,
        stated.clinician_level,
        stated.effective_from,
        stated.min_age_months,
        stated.max_age_months,
        stated.bits,
        stated.is_complete,
        stated.recomputed_rung,
        stated.stated_band,
        stated.stated_rung,
        stated.stated_total,
        CASE
            WHEN stated.is_complete AND stated.stated_badness <> stated.recomputed_badness THEN 'worse_of_two'
            WHEN stated.is_complete AND stated.recomputed_band IS NOT NULL THEN 'recomputed'
            WHEN stated.has_no_item AND stated.stated_band IS NOT NULL THEN 'recorded_unchecked'
        END AS basis_of_band,
        CASE
            WHEN stated.is_complete AND COALESCE(stated.stated_badness > stated.recomputed_badness, FALSE) THEN 'stated'
            WHEN stated.is_complete THEN 'recomputed'
            WHEN stated.has_no_item THEN 'stated'
        END AS counts
    FROM stated
)
SELECT
    chosen.assessment_id,
    chosen.client_id,
    chosen.scale,
    chosen.assessed_at,
    chosen.assessed_at_has_time,
    chosen.recorded_total,
    chosen.recomputed_total,
    chosen.recorded_total = chosen.recomputed_total AS total_agrees,
    chosen.recorded_band,
    chosen.recomputed_band,
    chosen.recorded_band = chosen.recomputed_band AS band_agrees,
    chosen.is_complete,
    missing.missing_items,
    CASE
        WHEN chosen.effective_from IS NULL THEN NULL
        WHEN clients.age_months IS NULL AND clients.age_years IS NULL THEN NULL
        WHEN COALESCE(clients.age_months, clients.age_years * 12 + 11) < COALESCE(chosen.min_age_months, 0) THEN FALSE
        WHEN COALESCE(clients.age_months, clients.age_years * 12) > chosen.max_age_months THEN FALSE
        WHEN COALESCE(clients.age_months, clients.age_years * 12) < COALESCE(chosen.min_age_months, 0) THEN NULL
        WHEN COALESCE(clients.age_months, clients.age_years * 12 + 11) > chosen.max_age_months THEN NULL
        ELSE TRUE
    END AS suits_age,
    chosen.clinician_level,
    CASE chosen.counts WHEN 'recomputed' THEN chosen.recomputed_rung WHEN 'stated' THEN chosen.stated_rung END AS risk_rung,
    CASE chosen.counts WHEN 'recomputed' THEN chosen.recomputed_band WHEN 'stated' THEN chosen.stated_band END AS band,
    CASE chosen.counts WHEN 'recomputed' THEN chosen.recomputed_total WHEN 'stated' THEN chosen.stated_total END AS total,
    chosen.basis_of_band
FROM chosen
LEFT JOIN missing
    ON missing.scale = chosen.scale
    AND missing.effective_from = chosen.effective_from
    AND missing.bits = chosen.bits
LEFT JOIN records.clients ON clients.client_id = chosen.client_id
