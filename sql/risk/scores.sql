-- question: What total and band does policy give each assessment?
-- grain:    one row per assessment_id
-- key:      assessment_id
-- inputs:   records.assessments, records.clients, risk.forms, policy.scales
-- beware:   an assessment with some items missing has no total and no band, whatever total it states
-- stored:   view
-- columns:
--   assessment_id         id         the assessment
--   client_id             id         the person
--   scale                 text       the scale
--   assessed_at           timestamp  when it was scored
--   assessed_at_has_time  boolean    assessed_at is an instant, not a day alone
--   recorded_total        number     the total that the source states
--   recomputed_total      number     the sum of the items' points; blank unless every item is there, and where the scale has no number
--   total_agrees          boolean    the two totals are equal; blank when one is absent
--   recorded_band         text       the band that the source states
--   recomputed_band       code not_at_risk|at_risk|moderate|high|very_high  the band that the items come to, by the policy of that day
--   band_agrees           boolean    the two bands are equal; blank when one is absent
--   is_complete           boolean    every item of the scale has a score
--   missing_items         text       the items without a score, in the order of the scale
--   suits_age             boolean    the scale is meant for the person's age; blank when that cannot be told
--   clinician_level       code assessments.clinician_level  clinical judgement at that time
--   risk_rung             integer    0 low, 1 at risk, 2 high, 3 very high: the rung that counts
--   band                  code not_at_risk|at_risk|moderate|high|very_high  the band that counts
--   total                 number     the total behind the band that counts
--   basis_of_band         code recomputed|recorded_unchecked|worse_of_two  where the band that counts comes from
-- Each form was judged once in risk.forms, so a view that looks its assessments up there costs less than rows of their own.
SELECT
    assessments.assessment_id,
    assessments.client_id,
    assessments.scale,
    assessments.assessed_at,
    assessments.assessed_at_has_time,
    assessments.recorded_total,
    forms.recomputed_total,
    forms.total_agrees,
    assessments.recorded_band,
    forms.recomputed_band,
    forms.band_agrees,
    COALESCE(forms.is_complete, FALSE) AS is_complete,
    forms.missing_items,
    CASE
        WHEN clients.age_months IS NULL AND clients.age_years IS NULL THEN NULL
        WHEN COALESCE(clients.age_months, clients.age_years * 12 + 11) < scales.min_age_months THEN FALSE
        WHEN COALESCE(clients.age_months, clients.age_years * 12) > scales.max_age_months THEN FALSE
        WHEN COALESCE(clients.age_months, clients.age_years * 12) < scales.min_age_months THEN NULL
        WHEN COALESCE(clients.age_months, clients.age_years * 12 + 11) > scales.max_age_months THEN NULL
        WHEN scales.scale IS NOT NULL THEN TRUE
    END AS suits_age,
    assessments.clinician_level,
    forms.risk_rung,
    forms.band,
    forms.total,
    forms.basis_of_band
FROM records.assessments
LEFT JOIN policy.scales
    ON scales.scale = assessments.scale
    AND scales.effective_from <= CAST(assessments.assessed_at AS DATE)
    AND (scales.effective_to IS NULL OR scales.effective_to > CAST(assessments.assessed_at AS DATE))
LEFT JOIN risk.forms
    ON forms.scale = scales.scale
    AND forms.effective_from = scales.effective_from
    AND forms.items IS NOT DISTINCT FROM assessments.items
    AND forms.recorded_total IS NOT DISTINCT FROM assessments.recorded_total
    AND forms.recorded_band IS NOT DISTINCT FROM assessments.recorded_band
LEFT JOIN records.clients ON clients.client_id = assessments.client_id
