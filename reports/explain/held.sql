-- Which rows of this person are held back, and does an older version stand in for one of them?
SELECT h.feed, h.record_id, h.column_name, h.code, h.status, h.hides_newer, f.file_name, h.source_row,
       coalesce(l.label, w.label) AS reason
FROM quality.held AS h
LEFT JOIN (
    SELECT file_id, feed, min(file_name) AS file_name FROM quality.files GROUP BY file_id, feed
) AS f ON f.file_id = h.file_id AND f.feed = h.feed
LEFT JOIN policy.labels AS l ON l.kind = 'held_code' AND l.code = h.code
LEFT JOIN policy.labels AS w ON w.kind = 'waiting_code' AND w.code = h.code
WHERE h.client_id = $client_id
ORDER BY h.feed, f.file_name, h.source_row, h.column_name, h.code
