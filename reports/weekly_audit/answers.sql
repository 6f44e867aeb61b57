-- What was answered to findings, and how does each stand now?
SELECT answer, status, CAST(count(*) AS INTEGER) AS findings
FROM audit.findings
WHERE answer IS NOT NULL AND status <> 'subsumed' AND NOT is_told_once
GROUP BY answer, status
ORDER BY status, answer
