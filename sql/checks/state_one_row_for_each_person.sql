-- question: Is anybody on the caseload lost, or counted twice, on the way to need, provision and reassessment?
-- inputs:   state.caseload, state.clients, fit.need, fit.provision, audit.reassessments
WITH found_rows AS (
    SELECT caseload.client_id, 'caseload' AS place FROM state.caseload AS caseload
    UNION ALL
    SELECT clients.client_id, 'state' AS place FROM state.clients AS clients
    UNION ALL
    SELECT need.client_id, 'need ' || need.position AS place FROM fit.need AS need
    UNION ALL
    SELECT provision.client_id, 'provision ' || provision.position AS place FROM fit.provision AS provision
    UNION ALL
    SELECT reassessments.client_id, 'reassessment' AS place FROM audit.reassessments AS reassessments
)
SELECT found_rows.client_id, COUNT(*) AS rows_found, COUNT(DISTINCT found_rows.place) AS places
FROM found_rows
GROUP BY found_rows.client_id
HAVING COUNT(*) <> 7 OR COUNT(DISTINCT found_rows.place) <> 7
