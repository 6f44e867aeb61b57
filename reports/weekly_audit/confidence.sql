-- Of each export, how many rows came, were used, were held back, and when did it last arrive?
SELECT a.feed, f.received, f.accepted, f.held, CAST(a.last_received_at AS DATE) AS last_received_on, a.is_late,
       a.expected_days
FROM quality.arrivals AS a
LEFT JOIN (
    SELECT feed, CAST(sum(rows_read) AS INTEGER) AS received, CAST(sum(rows_accepted) AS INTEGER) AS accepted,
           CAST(sum(rows_held) AS INTEGER) AS held
    FROM quality.files
    WHERE status <> 'refused'
    GROUP BY feed
) AS f ON f.feed = a.feed
ORDER BY a.feed
