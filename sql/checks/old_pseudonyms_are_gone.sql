-- question: Does any record still stand under a pseudonym that was merged into another?
-- inputs:   records.merged_clients, records.clients, records.placements, records.assessments, records.circumstances, records.injuries, records.loans, records.actions
SELECT standing.feed, standing.client_id
FROM (
    SELECT 'clients' AS feed, client_id FROM records.clients
    UNION ALL
    SELECT 'placements' AS feed, client_id FROM records.placements
    UNION ALL
    SELECT 'assessments' AS feed, client_id FROM records.assessments
    UNION ALL
    SELECT 'circumstances' AS feed, client_id FROM records.circumstances
    UNION ALL
    SELECT 'injuries' AS feed, client_id FROM records.injuries
    UNION ALL
    SELECT 'loans' AS feed, client_id FROM records.loans
    UNION ALL
    SELECT 'actions' AS feed, client_id FROM records.actions
) AS standing
INNER JOIN records.merged_clients ON merged_clients.old_client_id = standing.client_id
