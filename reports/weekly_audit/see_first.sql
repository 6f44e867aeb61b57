-- Who should be seen first, why, by when, what to consider, and what is not known about them?
SELECT w.rank, w.client_id, w.team, w.clinician, w.level, w.reason, w.more_count, w.due_on, w.days_overdue,
       f.consider, f.evidence, f.answer, q.unknown, w.has_held_row, n.listed_people, n.urgent_left_out
FROM audit.worklist AS w
LEFT JOIN (
    SELECT client_id, rule, consider, evidence, answer,
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
CROSS JOIN (
    SELECT CAST(count(*) AS INTEGER) AS listed_people,
           CAST(count(*) FILTER (WHERE level = 'urgent' AND rank > 115) AS INTEGER) AS urgent_left_out
    FROM audit.worklist
    WHERE level <> 'routine'
) AS n
WHERE w.rank <= 15 AND w.level <> 'routine'
ORDER BY w.rank
