-- How many people stand on the list of each clinician?
SELECT team, clinician, CAST(count(*) AS INTEGER) AS people,
       CAST(count(*) FILTER (WHERE level = 'urgent') AS INTEGER) AS urgent_people,
       CAST(count(*) FILTER (WHERE level = 'soon') AS INTEGER) AS soon_people,
       CAST(count(*) FILTER (WHERE level IN ('never_assessed', 'routine')) AS INTEGER) AS later_people,
       CAST(count(*) FILTER (WHERE days_overdue > 0) AS INTEGER) AS overdue_people
FROM audit.worklist
GROUP BY team, clinician
ORDER BY team NULLS LAST, clinician NULLS LAST
