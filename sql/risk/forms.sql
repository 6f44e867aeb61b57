-- question: What total and band does policy give each form, and does the source agree?
-- grain:    one row per scale, block of its policy, items and what the source states
-- key:      scale, effective_from, items?, recorded_total?, recorded_band?
-- inputs:   records.assessments, policy.scales, policy.scale_items, policy.scale_scores, policy.scale_bands
-- beware:   a form with some items missing has no total and no band, whatever total it states; a scale that policy does not know has no row
-- columns:
--   scale             text     the scale
--   effective_from    date     the block of the policy that was in force on the day
--   items             text     the items that were scored, each with its score; blank when the source sent none
--   recorded_total    number   the total that the source states
--   recorded_band     text     the band that the source states
--   recomputed_total  number   the sum of the items' points; blank unless every item is there, and where the scale has no number
--   total_agrees      boolean  the two totals are equal; blank when one is absent
--   recomputed_band   code not_at_risk|at_risk|moderate|high|very_high  the band that the items come to, by the policy of that day
--   band_agrees       boolean  the two bands are equal; blank when one is absent
--   is_complete       boolean  every item of the scale has a score
--   missing_items     text     the items without a score, in the order of the scale
--   risk_rung         integer  0 low, 1 at risk, 2 high, 3 very high: the rung that counts
--   band              code not_at_risk|at_risk|moderate|high|very_high  the band that counts
--   total             number   the total behind the band that counts
--   basis_of_band     code recomputed|recorded_unchecked|worse_of_two  where the band that counts comes from
-- Many people have the same items with the same scores, so each such form is judged once, however many assessments say it.
-- Which band counts: recomputed where the items are there; the worse of the two while the source says another; what the
-- source says where it sent no item at all. Some items missing: none, for a partial sum is not a score.
-- Each item of a scale is one bit, so that what is missing can be named once for each pattern and not once for each row.
WITH numbered AS (
    SELECT
        scale_items.scale,
        scale_items.effective_from,
        scale_items.item,
        scale_items.position,
        scale_items.is_optional,
        scale_items.item_group,
        scale_items.group_max,
        CAST(POWER(2, ROW_NUMBER() OVER (
            PARTITION BY scale_items.scale, scale_items.effective_from
            ORDER BY scale_items.position, scale_items.item
        )) AS BIGINT) AS bit
    FROM policy.scale_items
),
-- A blank optional item is answered all the same: it adds nothing.
item_bits AS (
    SELECT
        numbered.scale,
        numbered.effective_from,
        numbered.item,
        numbered.position,
        numbered.is_optional,
        numbered.item_group,
        numbered.group_max,
        numbered.bit,
        CAST(SUM(numbered.bit) OVER (PARTITION BY numbered.scale, numbered.effective_from) AS BIGINT) AS all_bits,
        CAST(SUM(CASE WHEN numbered.is_optional THEN numbered.bit ELSE 0 END)
            OVER (PARTITION BY numbered.scale, numbered.effective_from) AS BIGINT) AS optional_bits
    FROM numbered
),
blank_forms AS (
    SELECT DISTINCT item_bits.scale, item_bits.effective_from, item_bits.optional_bits AS bits
    FROM item_bits
),
told AS (
    SELECT DISTINCT
        assessments.scale,
        scales.effective_from,
        assessments.items,
        assessments.recorded_total,
        assessments.recorded_band
    FROM records.assessments
    INNER JOIN policy.scales
        ON scales.scale = assessments.scale
        AND scales.effective_from <= CAST(assessments.assessed_at AS DATE)
        AND (scales.effective_to IS NULL OR scales.effective_to > CAST(assessments.assessed_at AS DATE))
),
scored AS (
    SELECT DISTINCT told.scale, told.items
    FROM told
),
opened AS (
    SELECT scored.scale, scored.items, UNNEST(STRING_SPLIT(scored.items, '; ')) AS entry
    FROM scored
),
-- A score that was not to be given on the day counts as missing, that of an optional item too.
group_sums AS (
    SELECT
        opened.scale,
        opened.items,
        item_bits.effective_from,
        item_bits.all_bits,
        item_bits.optional_bits,
        item_bits.item_group,
        item_bits.group_max,
        SUM(
            CASE WHEN scale_scores.points IS NOT NULL THEN item_bits.bit ELSE 0 END
            - CASE WHEN item_bits.is_optional THEN item_bits.bit ELSE 0 END
        ) AS bits,
        SUM(scale_scores.points) AS points,
        MAX(scale_scores.points) AS gravest
    FROM opened
    INNER JOIN item_bits
        ON item_bits.scale = opened.scale
        AND item_bits.item = SPLIT_PART(opened.entry, ' ', 1)
    LEFT JOIN policy.scale_scores
        ON scale_scores.scale = item_bits.scale
        AND scale_scores.effective_from = item_bits.effective_from
        AND scale_scores.item = item_bits.item
        AND scale_scores.score = CAST(SPLIT_PART(opened.entry, ' ', 2) AS DECIMAL(18, 4))
    GROUP BY
        opened.scale,
        opened.items,
        item_bits.effective_from,
        item_bits.all_bits,
        item_bits.optional_bits,
        item_bits.item_group,
        item_bits.group_max
),
form_sums AS (
    SELECT
        group_sums.scale,
        group_sums.items,
        group_sums.effective_from,
        group_sums.all_bits,
        CAST(SUM(group_sums.bits) + group_sums.optional_bits AS BIGINT) AS bits,
        SUM(LEAST(group_sums.points, COALESCE(group_sums.group_max, group_sums.points))) AS points,
        MAX(group_sums.gravest) AS gravest
    FROM group_sums
    GROUP BY
        group_sums.scale,
        group_sums.items,
        group_sums.effective_from,
        group_sums.all_bits,
        group_sums.optional_bits
),
-- Bands are put in order by how bad they are, whichever way the scale runs; a pathway has steps and no totals.
bands AS (
    SELECT
        scale_bands.scale,
        scale_bands.effective_from,
        scale_bands.band,
        scale_bands.label,
        scale_bands.from_total,
        scale_bands.to_total,
        scale_bands.step,
        scale_bands.risk_rung,
        CASE
            WHEN scale_bands.step IS NOT NULL THEN CAST(scale_bands.step AS DECIMAL(18, 4))
            WHEN scales.worse = 'low' THEN -scale_bands.from_total
            ELSE scale_bands.from_total
        END AS badness
    FROM policy.scale_bands
    INNER JOIN policy.scales
        ON scales.scale = scale_bands.scale AND scales.effective_from = scale_bands.effective_from
),
-- The source may name a band by our word or by the scale's own.
band_words AS (
    SELECT scale, effective_from, band AS word, band, badness, risk_rung FROM bands
    UNION
    SELECT scale, effective_from, label AS word, band, badness, risk_rung FROM bands
),
judged AS (
    SELECT
        form_sums.scale,
        form_sums.items,
        form_sums.effective_from,
        form_sums.bits,
        form_sums.bits = form_sums.all_bits AS is_complete,
        CASE
            WHEN form_sums.bits = form_sums.all_bits AND bands.step IS NULL
                THEN CAST(form_sums.points AS DECIMAL(18, 4))
        END AS total,
        bands.band,
        bands.badness,
        bands.risk_rung
    FROM form_sums
    LEFT JOIN bands
        ON bands.scale = form_sums.scale
        AND bands.effective_from = form_sums.effective_from
        AND form_sums.bits = form_sums.all_bits
        AND (form_sums.points BETWEEN bands.from_total AND bands.to_total OR form_sums.gravest = bands.step)
),
patterns AS (
    SELECT scale, effective_from, bits FROM form_sums
    UNION
    SELECT scale, effective_from, bits FROM blank_forms
),
missing AS (
    SELECT
        patterns.scale,
        patterns.effective_from,
        patterns.bits,
        STRING_AGG(item_bits.item, '; ' ORDER BY item_bits.position, item_bits.item) AS missing_items
    FROM patterns
    INNER JOIN item_bits ON item_bits.scale = patterns.scale AND item_bits.effective_from = patterns.effective_from
    WHERE (patterns.bits & item_bits.bit) = 0
    GROUP BY patterns.scale, patterns.effective_from, patterns.bits
),
banded AS (
    SELECT
        told.scale,
        told.effective_from,
        told.items,
        told.recorded_total,
        told.recorded_band,
        COALESCE(judged.bits, blank_forms.bits) AS bits,
        COALESCE(judged.is_complete, FALSE) AS is_complete,
        judged.total AS recomputed_total,
        judged.band AS recomputed_band,
        judged.badness AS recomputed_badness,
        judged.risk_rung AS recomputed_rung,
        COALESCE(by_total.badness >= by_name.badness, by_total.badness IS NOT NULL) AS is_stated_by_total,
        by_total.band AS total_band,
        by_total.badness AS total_badness,
        by_total.risk_rung AS total_rung,
        by_name.band AS named_band,
        by_name.badness AS named_badness,
        by_name.risk_rung AS named_rung
    FROM told
    INNER JOIN blank_forms ON blank_forms.scale = told.scale AND blank_forms.effective_from = told.effective_from
    LEFT JOIN judged
        ON judged.scale = told.scale
        AND judged.items = told.items
        AND judged.effective_from = told.effective_from
    LEFT JOIN bands AS by_total
        ON by_total.scale = told.scale
        AND by_total.effective_from = told.effective_from
        AND told.recorded_total BETWEEN by_total.from_total AND by_total.to_total
    LEFT JOIN band_words AS by_name
        ON by_name.scale = told.scale
        AND by_name.effective_from = told.effective_from
        AND by_name.word = told.recorded_band
),
-- What the source states: the band of its total or the band that it names, whichever is worse.
stated AS (
    SELECT
        banded.scale,
        banded.effective_from,
        banded.items,
        banded.recorded_total,
        banded.recomputed_total,
        banded.recorded_band,
        banded.bits,
        banded.is_complete,
        banded.recomputed_band,
        banded.recomputed_badness,
        banded.recomputed_rung,
        banded.named_band,
        CASE WHEN banded.is_stated_by_total THEN banded.total_band ELSE banded.named_band END AS stated_band,
        CASE WHEN banded.is_stated_by_total THEN banded.total_badness ELSE banded.named_badness END AS stated_badness,
        CASE WHEN banded.is_stated_by_total THEN banded.total_rung ELSE banded.named_rung END AS stated_rung,
        CASE WHEN banded.is_stated_by_total THEN banded.recorded_total END AS stated_total
    FROM banded
),
chosen AS (
    SELECT
        stated.scale,
        stated.effective_from,
        stated.items,
        stated.recorded_total,
        stated.recomputed_total,
        stated.recorded_band,
        stated.recomputed_band,
        stated.bits,
        stated.is_complete,
        stated.recomputed_rung,
        stated.named_band,
        stated.stated_band,
        stated.stated_rung,
        stated.stated_total,
        CASE
            WHEN stated.is_complete AND stated.stated_badness <> stated.recomputed_badness THEN 'worse_of_two'
            WHEN stated.recomputed_band IS NOT NULL THEN 'recomputed'
            WHEN stated.items IS NULL AND stated.stated_band IS NOT NULL THEN 'recorded_unchecked'
        END AS basis_of_band,
        CASE
            WHEN stated.is_complete AND COALESCE(stated.stated_badness > stated.recomputed_badness, FALSE) THEN 'stated'
            WHEN stated.is_complete THEN 'recomputed'
            WHEN stated.items IS NULL THEN 'stated'
        END AS counts
    FROM stated
)
SELECT
    chosen.scale,
    chosen.effective_from,
    chosen.items,
    chosen.recorded_total,
    chosen.recorded_band,
    chosen.recomputed_total,
    chosen.recorded_total = chosen.recomputed_total AS total_agrees,
    chosen.recomputed_band,
    COALESCE(chosen.named_band, chosen.recorded_band) = chosen.recomputed_band AS band_agrees,
    chosen.is_complete,
    missing.missing_items,
    CASE chosen.counts WHEN 'recomputed' THEN chosen.recomputed_rung WHEN 'stated' THEN chosen.stated_rung END AS risk_rung,
    CASE chosen.counts WHEN 'recomputed' THEN chosen.recomputed_band WHEN 'stated' THEN chosen.stated_band END AS band,
    CASE chosen.counts WHEN 'recomputed' THEN chosen.recomputed_total WHEN 'stated' THEN chosen.stated_total END AS total,
    chosen.basis_of_band
FROM chosen
LEFT JOIN missing
    ON missing.scale = chosen.scale
    AND missing.effective_from = chosen.effective_from
    AND missing.bits = chosen.bits
