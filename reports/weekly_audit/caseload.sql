-- How does each team stand?
SELECT team, people, urgent_people, overdue_people, due_four_weeks, cannot_judge_lying
FROM audit.caseload
ORDER BY people DESC, team NULLS LAST
