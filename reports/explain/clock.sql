-- When is the risk to be scored again, by which interval of the policy, and after which change?
SELECT r.kind, r.scale, r.last_at, r.last_at_has_time, r.due_at, r.due_at_has_time, r.due_on, r.status,
       r.days_overdue, i.within_hours, i.within_days, i.every_stay_days, i.kind AS interval_kind, i.change_kind, c.changed_on
FROM audit.reassessments AS r
LEFT JOIN policy.intervals AS i ON i.interval_id = r.interval_id
LEFT JOIN state.condition_changes AS c ON c.client_id = r.client_id AND c.change_kind = i.change_kind
WHERE r.client_id = $client_id
