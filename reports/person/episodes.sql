-- How did each wound go, from opening to healing? Each that is open, and the five newest that have healed.
SELECT client_id, injury_id, episode, location, side, is_pressure, opened_on, healed_on, is_reopened, reopened_on, stays, first_stage,
       worst_stage, worst_since, origin, worst_origin, has_worsened_here
FROM (
    SELECT e.client_id, e.injury_id, e.episode, e.location, e.side, e.is_pressure, e.opened_on, e.healed_on, e.is_reopened, e.reopened_on,
           e.stays, e.first_stage, e.worst_stage, e.worst_since, e.origin, e.worst_origin, e.has_worsened_here,
           row_number() OVER (
               PARTITION BY e.client_id, e.healed_on IS NULL ORDER BY e.healed_on DESC, e.injury_id, e.episode DESC
           ) AS place
    FROM wounds.episodes AS e
    WHERE list_contains($people, e.client_id)
) AS told
WHERE healed_on IS NULL OR place <= 5
ORDER BY client_id, healed_on DESC NULLS FIRST, injury_id, episode
