-- question: Does every rule that cannot be told say which fact it waits for?
-- inputs:   audit.verdicts, audit.unknowns
SELECT verdicts.rule, verdicts.client_id
FROM audit.verdicts
LEFT JOIN (
    SELECT unknowns.rule, unknowns.client_id, COUNT(*) AS facts
    FROM audit.unknowns
    GROUP BY unknowns.rule, unknowns.client_id
) AS waiting ON waiting.rule = verdicts.rule AND waiting.client_id = verdicts.client_id
WHERE verdicts.verdict IS NULL AND waiting.facts IS NULL
