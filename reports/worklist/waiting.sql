-- Who waits for which surface, for how long, and what do they wait with?
SELECT w.client_id, w.team, w.clinician, w.position, w.surface_class, w.owner, w.loan_status, w.waiting_since_on,
       w.days_waiting, w.has_open_injury, w.full_thickness_on_trunk_or_pelvis,
       listed.client_id IS NOT NULL AS is_listed,
       lower(coalesce(p.label, w.position) || ': ' || coalesce(c.label, w.surface_class)) AS waits_for
FROM audit.waiting AS w
LEFT JOIN policy.labels AS p ON p.kind = 'position' AND p.code = w.position
LEFT JOIN policy.labels AS c ON c.kind = 'surface_class' AND c.code = w.surface_class
LEFT JOIN audit.worklist AS listed ON listed.client_id = w.client_id
ORDER BY coalesce(w.full_thickness_on_trunk_or_pelvis, FALSE) DESC, w.days_waiting DESC NULLS FIRST, w.client_id, w.loan_id
