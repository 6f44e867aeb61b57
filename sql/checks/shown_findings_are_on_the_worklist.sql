-- question: Is every shown finding on the list it belongs to?
-- inputs:   audit.findings, audit.worklist, audit.equipment
SELECT findings.client_id, findings.finding_id
FROM audit.findings
LEFT JOIN audit.worklist ON worklist.client_id = findings.client_id
LEFT JOIN audit.equipment ON equipment.finding_id = findings.finding_id
WHERE findings.is_shown
    AND CASE findings.list_name WHEN 'equipment' THEN equipment.finding_id ELSE worklist.client_id END IS NULL
