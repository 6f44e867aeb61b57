-- How many people stand on the list of each clinician?
SELECT team, clinician, CAST(count(*) AS INTEGER) AS people,
       CAST(count(*) FILTER (WHERE level = 'urgent') AS INTEGER) AS urgent_people,
       CAST(count(*) FILTER (WHERE level = 'soon') AS INTEGER) AS soon_people,
       CAST(count(*) FILTER (WHERE level IN ('never_assessed', 'routine')) AS INTEGER) AS later_people,
       CAST(count(late.client_id) AS INTEGER) AS overdue_people
FROM audit.worklist
LEFT JOIN (
    SELECT client_id
    FROM audit.findings
    WHERE is_shown AND list_name = 'people' AND days_overdue > 0
    UNION
    SELECT client_id
    FROM audit.worklist
    WHERE days_overdue > 0
) AS late USING (client_id)
GROUP BY team, clinician
ORDER BY team NULLS LAST, clinician NULLS LAST
