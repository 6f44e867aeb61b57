-- question: Does the worklist count the shown findings of each person, and rank each person once?
-- inputs:   audit.worklist, audit.findings
SELECT worklist.client_id, worklist.rank
FROM (
    SELECT
        worklist.client_id,
        worklist.rank,
        worklist.urgent_count + worklist.soon_count + worklist.routine_count AS findings,
        ROW_NUMBER() OVER (ORDER BY worklist.rank, worklist.client_id) AS place
    FROM audit.worklist
) AS worklist
LEFT JOIN (
    SELECT findings.client_id, COUNT(*) AS findings
    FROM audit.findings
    WHERE findings.is_shown AND findings.list_name = 'people'
    GROUP BY findings.client_id
) AS shown ON shown.client_id = worklist.client_id
WHERE worklist.rank <> worklist.place OR worklist.findings <> COALESCE(shown.findings, 0)
