-- question: Do the teams add up to the whole caseload?
-- inputs:   audit.tally, audit.caseload, state.clients
SELECT summed.people, total.people AS people_in_all
FROM (
    SELECT
        COALESCE(SUM(caseload.people), 0) AS people,
        COALESCE(SUM(caseload.urgent_people), 0) AS urgent_people,
        COALESCE(SUM(caseload.overdue_people), 0) AS overdue_people,
        COALESCE(SUM(caseload.findings_open), 0) AS findings_open
    FROM audit.caseload
) AS summed
CROSS JOIN audit.tally AS total
CROSS JOIN (SELECT COUNT(*) AS people FROM state.clients) AS counted
WHERE total.is_total
    AND (
        summed.people <> total.people
        OR counted.people <> total.people
        OR summed.urgent_people <> total.urgent_people
        OR summed.overdue_people <> total.overdue_people
        OR summed.findings_open <> total.findings_open
    )
