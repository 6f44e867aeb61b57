-- Who waits for which surface, for how long, and what do they wait with?
SELECT w.client_id, w.team, w.clinician, w.position, w.surface_class, w.owner, w.loan_status, w.waiting_since_on,
       w.days_waiting, w.has_open_injury, w.full_thickness_on_trunk_or_pelvis,
       listed.client_id IS NOT NULL AS is_listed
FROM audit.waiting AS w
LEFT JOIN audit.worklist AS listed ON listed.client_id = w.client_id
ORDER BY coalesce(w.full_thickness_on_trunk_or_pelvis, FALSE) DESC, w.days_waiting DESC NULLS FIRST, w.client_id, w.loan_id
