-- How many people's next reassessment falls due, by team, in each of the next four weeks?
WITH due AS (
    SELECT r.client_id, c.team, p.as_of, min(CAST(r.due_at AS DATE)) AS due_on, bool_or(r.status IN ('overdue', 'never')) AS is_late
    FROM audit.reassessments AS r
    JOIN state.clients AS c ON c.client_id = r.client_id
    CROSS JOIN review.parameters AS p
    WHERE r.status IN ('overdue', 'never', 'due', 'not_due')
    GROUP BY r.client_id, c.team, p.as_of
)
SELECT team,
       CAST(count(*) FILTER (WHERE is_late) AS INTEGER) AS overdue_now,
       CAST(count(*) FILTER (WHERE NOT is_late AND due_on <= as_of + 7) AS INTEGER) AS week_1,
       CAST(count(*) FILTER (WHERE NOT is_late AND due_on BETWEEN as_of + 8 AND as_of + 14) AS INTEGER) AS week_2,
       CAST(count(*) FILTER (WHERE NOT is_late AND due_on BETWEEN as_of + 15 AND as_of + 21) AS INTEGER) AS week_3,
       CAST(count(*) FILTER (WHERE NOT is_late AND due_on BETWEEN as_of + 22 AND as_of + 28) AS INTEGER) AS week_4
FROM due
GROUP BY team
ORDER BY overdue_now DESC, team NULLS LAST
