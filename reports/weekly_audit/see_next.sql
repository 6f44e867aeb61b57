-- Who else needs somebody today or tomorrow: those after the first, one line each, as far as a page can carry them?
SELECT w.rank, w.client_id, w.team, w.clinician, w.reason, w.more_count, w.due_on, w.days_overdue, w.has_held_row
FROM audit.worklist AS w
WHERE w.level = 'urgent' AND w.rank BETWEEN 16 AND 115
ORDER BY w.rank
