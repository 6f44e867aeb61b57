-- question: Whose newest score falls in a band of the cut-offs that hold where the person is now?
-- grain:    one row per person and scale with cut-offs of their own setting
-- key:      client_id, scale
-- inputs:   risk.latest, state.placements, policy.setting_bands
-- beware:   where the recorded and the recomputed band differ the worse still counts; risk.scores keeps the bands of the scale itself
-- columns:
--   client_id  id       the person
--   scale      text     the scale
--   band       code not_at_risk|at_risk|moderate|high|very_high  the band that counts there
--   risk_rung  integer  0 low, 1 at risk, 2 high, 3 very high
SELECT
    latest.client_id,
    latest.scale,
    CASE
        WHEN latest.basis_of_band = 'worse_of_two' AND latest.risk_rung > setting_bands.risk_rung THEN latest.band
        ELSE setting_bands.band
    END AS band,
    CASE
        WHEN latest.basis_of_band = 'worse_of_two' THEN GREATEST(latest.risk_rung, setting_bands.risk_rung)
        ELSE setting_bands.risk_rung
    END AS risk_rung
FROM risk.latest AS latest
INNER JOIN state.placements AS placements ON placements.client_id = latest.client_id AND placements.is_leading
INNER JOIN policy.setting_bands AS setting_bands
    ON setting_bands.scale = latest.scale
    AND setting_bands.care_setting = placements.care_setting
    AND setting_bands.effective_from <= CAST(latest.assessed_at AS DATE)
    AND (setting_bands.effective_to IS NULL OR setting_bands.effective_to > CAST(latest.assessed_at AS DATE))
    AND latest.total BETWEEN setting_bands.from_total AND setting_bands.to_total
