-- question: Which stated totals or bands differ from what their own items come to?
-- beware:   blank is no disagreement: where an item is missing or nothing was stated, nothing can be compared
SELECT s.scale, s.assessment_id, s.client_id, CAST(s.assessed_at AS DATE) AS assessed_on,
       s.recorded_total, s.recomputed_total, s.recorded_band, s.recomputed_band,
       s.band AS band_that_counts
FROM risk.scores AS s
WHERE NOT s.total_agrees OR NOT s.band_agrees
ORDER BY s.assessed_at DESC, s.assessment_id
