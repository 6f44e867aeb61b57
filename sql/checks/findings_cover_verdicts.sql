-- question: Is every true verdict one finding, and every finding a true verdict?
-- inputs:   audit.verdicts, audit.raised, audit.findings
SELECT counted.verdicts, counted.raised, counted.findings, counted.both_ways
FROM (
    SELECT
        (SELECT COUNT(*) FROM audit.verdicts WHERE verdicts.verdict) AS verdicts,
        (SELECT COUNT(*) FROM audit.raised) AS raised,
        (SELECT COUNT(*) FROM audit.findings) AS findings,
        (
            SELECT COUNT(*)
            FROM audit.findings
            INNER JOIN audit.raised ON raised.finding_id = findings.finding_id
        ) AS both_ways
) AS counted
WHERE counted.verdicts <> counted.raised OR counted.raised <> counted.findings OR counted.findings <> counted.both_ways
