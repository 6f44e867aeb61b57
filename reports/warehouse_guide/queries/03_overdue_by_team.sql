-- question: How many reassessments are late in each team, and how late is the latest?
-- beware:   "cannot tell" is neither late nor in time, so it has a column of its own
-- figure:   Reassessment, in the weekly audit
SELECT r.team,
       count(*) AS people,
       count(*) FILTER (WHERE r.status IN ('overdue', 'never')) AS late,
       count(*) FILTER (WHERE r.status = 'never') AS never_assessed,
       count(*) FILTER (WHERE r.status = 'cannot_tell') AS cannot_tell,
       max(r.days_overdue) AS longest_days_late
FROM audit.reassessments AS r
GROUP BY r.team
ORDER BY late DESC, r.team
