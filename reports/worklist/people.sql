-- Who is to be seen, in which order, and what does the leading reason say?
SELECT w.rank, w.client_id, w.team, w.clinician, w.level, w.reason, w.due_on, w.days_overdue, w.urgent_count,
       w.soon_count, w.routine_count, w.has_held_row, w.is_never_assessed, f.finding_id, f.since_on, f.since_is_known,
       f.status, f.answer, f.consider, f.evidence, c.care_setting, c.caps_verdict, coalesce(q.askable, 0) AS askable,
       coalesce(q.asked, 0) AS asked,
       coalesce(q.askable > q.asked, FALSE) AS asks_more
FROM audit.worklist AS w
LEFT JOIN state.clients AS c ON c.client_id = w.client_id
LEFT JOIN (
    SELECT f.client_id, f.rule, f.finding_id, f.since_on, f.since_is_known, f.status, f.answer,
           f.consider, f.evidence, row_number() OVER (
               PARTITION BY f.client_id, f.rule ORDER BY f.days_overdue DESC, f.rule_position, f.finding_id
           ) AS place
    FROM audit.findings AS f
    WHERE f.is_shown
) AS f ON f.client_id = w.client_id AND f.rule = w.first_rule AND f.place = 1
LEFT JOIN (
    SELECT client_id, CAST(count(*) AS INTEGER) AS askable, CAST(count(*) FILTER (WHERE is_asked) AS INTEGER) AS asked
    FROM audit.to_ask
    GROUP BY client_id
) AS q ON q.client_id = w.client_id
ORDER BY w.rank
