-- For which people does a held row keep fit from being judged?
SELECT client_id
FROM state.clients
WHERE caps_verdict
ORDER BY client_id
