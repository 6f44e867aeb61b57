-- Who should be seen first, why, by when, what to consider, and what is not known about them?
SELECT w.rank, w.client_id, w.team, w.clinician, f.severity, f.title, f.consider, f.due_on, w.days_overdue,
       CAST(w.urgent_count + w.soon_count + w.routine_count - 1 AS INTEGER) AS more_count,
       q.unknown, coalesce(c.caps_verdict, FALSE) AS is_marked, n.listed_people
FROM audit.worklist AS w
LEFT JOIN (
    SELECT client_id, rule, severity, title, consider, due_on,
           row_number() OVER (PARTITION BY client_id, rule ORDER BY due_on NULLS LAST, finding_id) AS place
    FROM audit.findings
    WHERE is_shown
) AS f ON f.client_id = w.client_id AND f.rule = w.first_rule AND f.place = 1
LEFT JOIN (
    SELECT client_id, string_agg(label, '; ' ORDER BY rank, column_name) AS unknown
    FROM audit.to_ask
    WHERE rank <= 3
    GROUP BY client_id
) AS q ON q.client_id = w.client_id
LEFT JOIN state.clients AS c ON c.client_id = w.client_id
CROSS JOIN (
    SELECT CAST(count(*) AS INTEGER) AS listed_people
    FROM audit.worklist
    WHERE urgent_count + soon_count > 0
) AS n
WHERE w.urgent_count + w.soon_count > 0
ORDER BY w.rank
LIMIT 15
