-- question: Is no finding due before the day since when it is so?
-- inputs:   audit.findings
SELECT findings.finding_id
FROM audit.findings
WHERE findings.due_on < findings.since_on OR findings.due_on IS NULL OR findings.days_overdue < 0
