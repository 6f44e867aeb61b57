-- question: Does any record still stand under a pseudonym that was merged into another?
-- inputs:   records.merged_clients, records.versions
SELECT versions.feed, versions.public_id
FROM records.versions
INNER JOIN records.merged_clients ON merged_clients.old_client_id = versions.client_id
WHERE versions.version_status = 'current' AND versions.feed <> 'merges'
