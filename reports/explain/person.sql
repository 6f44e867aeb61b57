-- Whom does this id stand for, where are they, and where do they stand on the list?
SELECT p.client_id, p.client_id <> $client_id AS is_merged, c.client_id IS NOT NULL AS is_on_caseload, c.sex,
       c.age_years, c.team, c.clinician, c.care_setting, c.is_placed, c.started_on, c.planned_end_on, c.risk_scale,
       c.risk_total, c.risk_band, c.risk_assessed_on, c.risk_age_days, c.risk_is_stale, c.risk_is_wrong_for_age, c.risk_suits_setting,
       b.client_id IS NOT NULL AS has_local_band, c.has_newer_incomplete, c.clinician_level, c.open_injury_count, c.has_held_row, c.caps_verdict, w.rank, w.level,
       w.reason, w.due_on, w.days_overdue, n.listed_people
FROM (
    SELECT coalesce(max(m.client_id), $client_id) AS client_id
    FROM records.merged_clients AS m
    WHERE m.old_client_id = $client_id
) AS p
LEFT JOIN state.clients AS c ON c.client_id = p.client_id
LEFT JOIN records.clients AS k ON k.client_id = p.client_id
LEFT JOIN risk.local_bands AS b ON b.client_id = c.client_id AND b.scale = c.risk_scale
LEFT JOIN audit.worklist AS w ON w.client_id = p.client_id
CROSS JOIN (SELECT CAST(count(*) AS INTEGER) AS listed_people FROM audit.worklist) AS n
WHERE c.client_id IS NOT NULL OR k.client_id IS NOT NULL
