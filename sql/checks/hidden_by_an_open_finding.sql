-- question: Is every hidden finding hidden by one of the same person that is not hidden itself?
-- inputs:   audit.findings
SELECT hidden.finding_id
FROM audit.findings AS hidden
LEFT JOIN audit.findings AS hiding ON hiding.finding_id = hidden.subsumed_by
WHERE hidden.status = 'subsumed'
    AND (hiding.finding_id IS NULL OR hiding.status = 'subsumed' OR hiding.client_id <> hidden.client_id)
