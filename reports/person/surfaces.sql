-- What do they lie and sit on?
SELECT l.client_id, l.loan_id, l.position, l.surface_class, l.owner, l.issued_on, l.days_since_issued, l.is_where_person_is, l.in_use,
       l.state_seen_on, l.state_is_too_old, l.mode, l.setting, l.setting_kind, l.cycle_minutes, l.pump_state, l.is_powered,
       l.bottoming_check, l.bottoming_method, l.bottoming_checked_on, l.trial_started_on, l.trial_reviewed_on
FROM state.loans AS l
WHERE list_contains($people, l.client_id)
ORDER BY l.client_id, l.position, l.issued_on, l.loan_id
