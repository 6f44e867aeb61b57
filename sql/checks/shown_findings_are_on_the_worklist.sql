-- question: Is everybody with a shown finding on the worklist?
-- inputs:   audit.findings, audit.worklist
SELECT findings.client_id, findings.finding_id
FROM audit.findings
LEFT JOIN audit.worklist ON worklist.client_id = findings.client_id
WHERE findings.is_shown AND worklist.client_id IS NULL
