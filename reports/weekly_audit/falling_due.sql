-- How many people's next reassessment falls due, by team, in each of the next four weeks?
SELECT d.team, c.overdue_people,
       CAST(coalesce(sum(d.people) FILTER (WHERE d.week = 1), 0) AS INTEGER) AS week_1,
       CAST(coalesce(sum(d.people) FILTER (WHERE d.week = 2), 0) AS INTEGER) AS week_2,
       CAST(coalesce(sum(d.people) FILTER (WHERE d.week = 3), 0) AS INTEGER) AS week_3,
       CAST(coalesce(sum(d.people) FILTER (WHERE d.week = 4), 0) AS INTEGER) AS week_4,
       CAST(coalesce(sum(d.first_people), 0) AS INTEGER) AS first_people,
       CAST(coalesce(sum(d.change_people), 0) AS INTEGER) AS change_people
FROM audit.forecast AS d
LEFT JOIN audit.caseload AS c ON c.team IS NOT DISTINCT FROM d.team
GROUP BY d.team, c.overdue_people
ORDER BY c.overdue_people DESC NULLS LAST, d.team NULLS LAST
