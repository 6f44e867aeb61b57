-- question: Does every rule that cannot be told name a fact it waits for?
-- inputs:   audit.verdicts
SELECT verdicts.rule, verdicts.client_id
FROM audit.verdicts
WHERE verdicts.verdict IS NULL AND COALESCE(verdicts.missing_columns, '') = ''
