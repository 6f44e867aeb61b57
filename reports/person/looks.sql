-- What did the last four looks at each open wound find, oldest first?
SELECT client_id, injury_id, observed_at, effective_stage, area_cm2, push_total, trend
FROM (
    SELECT c.client_id, c.injury_id, c.injury_observation_id, c.observed_at, c.look, c.effective_stage, c.area_cm2, c.push_total, c.trend,
           row_number() OVER (PARTITION BY c.injury_id ORDER BY c.look DESC) AS place
    FROM wounds.course AS c
    INNER JOIN wounds.open AS o ON o.injury_id = c.injury_id
    WHERE list_contains($people, c.client_id)
) AS latest
WHERE place <= 4
ORDER BY client_id, injury_id, look
