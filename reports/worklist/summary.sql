-- How long is the whole list, and who is not on it although something about them is not known?
SELECT w.listed_people, w.urgent_people, w.soon_people, w.never_people, w.routine_people, w.overdue_people,
       q.asked_elsewhere
FROM (
    SELECT CAST(count(*) AS INTEGER) AS listed_people,
           CAST(count(*) FILTER (WHERE level = 'urgent') AS INTEGER) AS urgent_people,
           CAST(count(*) FILTER (WHERE level = 'soon') AS INTEGER) AS soon_people,
           CAST(count(*) FILTER (WHERE level = 'never_assessed') AS INTEGER) AS never_people,
           CAST(count(*) FILTER (WHERE level = 'routine') AS INTEGER) AS routine_people,
           CAST(count(late.client_id) AS INTEGER) AS overdue_people
    FROM audit.worklist
    -- Late with anything of theirs: the most dangerous reason leads, and it need not be the latest.
    LEFT JOIN (
        SELECT client_id
        FROM audit.findings
        WHERE is_shown AND list_name = 'people' AND days_overdue > 0
        UNION
        SELECT client_id
        FROM audit.worklist
        WHERE days_overdue > 0
    ) AS late USING (client_id)
) AS w
CROSS JOIN (
    SELECT CAST(count(DISTINCT t.client_id) AS INTEGER) AS asked_elsewhere
    FROM audit.to_ask AS t
    LEFT JOIN audit.worklist AS listed ON listed.client_id = t.client_id
    WHERE listed.client_id IS NULL
) AS q
