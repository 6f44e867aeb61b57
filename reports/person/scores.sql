-- How did the risk score go? The last five of each person, newest first.
SELECT client_id, assessed_at, scale, recorded_total, recomputed_total, total_agrees, band, is_complete, suits_age, total
FROM (
    SELECT s.client_id, s.assessment_id, s.assessed_at, s.scale, s.recorded_total, s.recomputed_total, s.total_agrees, s.band,
           s.is_complete, s.suits_age, s.total,
           row_number() OVER (PARTITION BY s.client_id ORDER BY s.assessed_at DESC, s.assessment_id DESC) AS place
    FROM risk.scores AS s
    WHERE list_contains($people, s.client_id)
) AS latest
WHERE place <= 5
ORDER BY client_id, place
