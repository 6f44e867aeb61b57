-- Which facts are missing for most people?
SELECT label, why, CAST(count(DISTINCT client_id) AS INTEGER) AS people
FROM audit.to_ask
GROUP BY label, why
ORDER BY people DESC, label, why
LIMIT 10
