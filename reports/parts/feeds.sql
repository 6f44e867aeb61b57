-- When did each feed last arrive, and is that later than the service expects?
SELECT feed, CAST(last_received_at AS DATE) AS last_received_on, days_since, expected_days, is_late
FROM quality.arrivals
ORDER BY is_late DESC, feed
