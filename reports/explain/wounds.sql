-- Which wounds are open, how deep, and when was each last looked at and measured?
SELECT injury_id, location, side, stage, effective_stage, has_contradiction, is_pressure, cause, first_seen_on,
       last_seen_on, last_measured_on, area_cm2, trend, present_on_admission, signs_of_infection
FROM wounds.open
WHERE client_id = $client_id
ORDER BY first_seen_on, injury_id
