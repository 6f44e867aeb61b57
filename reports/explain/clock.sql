-- When is the risk to be scored again, and by which interval of the policy?
SELECT r.kind, r.scale, r.last_at, r.last_at_has_time, r.due_at, r.due_at_has_time, r.due_on, r.status,
       r.days_overdue, i.within_hours, i.within_days, i.kind AS interval_kind
FROM audit.reassessments AS r
LEFT JOIN policy.intervals AS i ON i.interval_id = r.interval_id
WHERE r.client_id = $client_id
