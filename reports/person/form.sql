-- What was last written of how they lie, turn and move?
SELECT f.client_id, arg_max(f.turning_interval_h, f.place) FILTER (WHERE f.turning_interval_h IS NOT NULL) AS turning_interval_h,
       arg_max(f.transfers, f.place) FILTER (WHERE f.transfers IS NOT NULL) AS transfers,
       arg_max(f.height_cm, f.place) FILTER (WHERE f.height_cm IS NOT NULL) AS height_cm,
       arg_max(f.bed_frame_max_kg, f.place) FILTER (WHERE f.bed_frame_max_kg IS NOT NULL) AS bed_frame_max_kg,
       arg_max(f.bed_width_cm, f.place) FILTER (WHERE f.bed_width_cm IS NOT NULL) AS bed_width_cm,
       arg_max(f.outage_plan, f.place) FILTER (WHERE f.outage_plan IS NOT NULL) AS outage_plan,
       arg_max(f.goals_reviewed_on, f.place) FILTER (WHERE f.goals_reviewed_on IS NOT NULL) AS goals_reviewed_on
FROM (
    SELECT c.client_id, c.turning_interval_h, c.transfers, c.height_cm, c.bed_frame_max_kg, c.bed_width_cm, c.outage_plan, c.goals_reviewed_on,
           row_number() OVER (PARTITION BY c.client_id ORDER BY c.observed_on, c.circumstances_id) AS place
    FROM records.circumstances AS c
    WHERE list_contains($people, c.client_id)
) AS f
GROUP BY f.client_id
ORDER BY f.client_id
