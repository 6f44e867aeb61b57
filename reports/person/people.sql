-- Who is it, where, and what leads their list?
SELECT c.client_id, c.sex, c.age_years, c.team, c.clinician, c.care_setting, c.risk_band, c.risk_total, c.risk_scale, c.risk_assessed_on,
       c.risk_is_stale, c.risk_is_wrong_for_age, c.risk_suits_setting, b.client_id IS NOT NULL AS has_local_band, c.has_newer_incomplete,
       c.clinician_level, c.has_open_injury, c.hours_seated,
       c.longest_sit_min, c.weight_kg, c.bed_mobility, c.heel_offloading, c.has_declined, c.declined_lying, c.declined_sitting,
       c.declined_heel, c.declined_turning, c.has_held_row, c.held_feeds, c.caps_verdict, w.rank, w.reason, w.due_on, w.days_overdue,
       w.more_count, n.listed_people, r.due_on AS next_score_on, r.days_overdue AS score_days_overdue
FROM state.clients AS c
LEFT JOIN risk.local_bands AS b ON b.client_id = c.client_id AND b.scale = c.risk_scale
LEFT JOIN audit.worklist AS w ON w.client_id = c.client_id
LEFT JOIN audit.reassessments AS r ON r.client_id = c.client_id
CROSS JOIN (SELECT CAST(count(*) AS INTEGER) AS listed_people FROM audit.worklist) AS n
WHERE list_contains($people, c.client_id)
ORDER BY c.client_id
