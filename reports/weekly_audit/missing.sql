-- Which facts are missing for most people?
SELECT label, CAST(count(DISTINCT client_id) AS INTEGER) AS people
FROM audit.to_ask
GROUP BY label
ORDER BY people DESC, label
LIMIT 10
