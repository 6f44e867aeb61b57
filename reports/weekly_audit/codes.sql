-- Of the exports that came since the audit before, which codes of wounds should whoever makes them look at?
SELECT n.note, n.source, n.column_name, n.code, n.system, n.stage, n.active_code,
       CAST(sum(n.rows_noted) AS INTEGER) AS rows_noted
FROM (
    SELECT note, source, column_name, received_at, rows_noted,
           CASE WHEN note = 'inactive_code' THEN code END AS code,
           CASE WHEN note = 'inactive_code' THEN system END AS system,
           CASE WHEN note = 'inactive_code' THEN stage END AS stage,
           CASE WHEN note = 'inactive_code' THEN active_code END AS active_code
    FROM quality.codes_noted
) AS n
CROSS JOIN review.parameters AS p
WHERE p.is_first_audit OR n.received_at > p.previous_known_at
GROUP BY n.note, n.source, n.column_name, n.code, n.system, n.stage, n.active_code
ORDER BY n.note DESC, n.source, n.column_name, n.code
