-- question: Is every person on the caseload judged once for the bed and once for the seat?
-- inputs:   state.clients, fit.need, fit.provision
SELECT clients.client_id, COUNT(need.position) AS needs, COUNT(provision.position) AS provisions
FROM state.clients
LEFT JOIN fit.need ON need.client_id = clients.client_id
LEFT JOIN fit.provision ON provision.client_id = need.client_id AND provision.position = need.position
GROUP BY clients.client_id
HAVING COUNT(need.position) <> 2 OR COUNT(provision.position) <> 2
