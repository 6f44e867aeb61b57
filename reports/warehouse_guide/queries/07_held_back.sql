-- question: Which rows wait for a correction, for what reason, and how many people do they concern?
-- beware:   a row with two faults stands twice: count rows by file and row number; the weekly audit counts client_unknown apart
-- figure:   How sure we are, in the weekly audit
SELECT h.feed, h.code, l.label AS reason,
       string_agg(DISTINCT h.column_name, ', ' ORDER BY h.column_name) AS columns_at_fault,
       count(DISTINCT h.file_key || ' ' || CAST(h.source_row AS VARCHAR)) AS held_rows,
       count(DISTINCT h.client_id) AS people
FROM quality.held AS h
LEFT JOIN policy.labels AS l ON l.kind = 'held_code' AND l.code = h.code
WHERE h.status = 'waiting'
GROUP BY h.feed, h.code, l.label
ORDER BY held_rows DESC, h.feed, h.code
