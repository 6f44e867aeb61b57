-- question: Which open wounds were larger at the last look than at the one before?
-- beware:   only looks with length and width count; a wound that was measured once has no row
WITH measured AS (
    SELECT c.injury_id, c.observed_at, c.area_cm2,
           ROW_NUMBER() OVER (
               PARTITION BY c.injury_id ORDER BY c.observed_at DESC, c.injury_observation_id DESC
           ) AS look_back
    FROM wounds.course AS c
    WHERE c.area_cm2 IS NOT NULL AND NOT c.is_closed
)
SELECT o.client_id, o.injury_id, o.location, o.side, o.effective_stage,
       b.observed_at AS before_at, b.area_cm2 AS before_cm2,
       a.observed_at AS last_at, a.area_cm2 AS last_cm2
FROM wounds.open AS o
JOIN measured AS a ON a.injury_id = o.injury_id AND a.look_back = 1
JOIN measured AS b ON b.injury_id = o.injury_id AND b.look_back = 2
WHERE o.is_pressure AND a.area_cm2 > b.area_cm2
ORDER BY a.area_cm2 - b.area_cm2 DESC, o.injury_id
