-- Which wounds are open?
SELECT w.client_id, w.injury_id, w.location, w.side, w.effective_stage, w.is_pressure, w.device_related, w.present_on_admission,
       w.first_seen_on, w.signs_of_infection, w.has_contradiction, w.needs_offloading, w.is_full_thickness
FROM wounds.open AS w
WHERE list_contains($people, w.client_id)
ORDER BY w.client_id, coalesce(w.is_full_thickness, FALSE) DESC, w.first_seen_on, w.injury_id
