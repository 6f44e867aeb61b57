-- question: Which faults are so common that they are told once, as one sentence about the service?
-- grain:    one row per rule
-- key:      rule
-- inputs:   audit.verdicts, policy.rules, policy.parameters
-- beware:   never a rule of the safety family, nor one that policy keeps in the rows; where so few could be meant that a share says little,
--           every finding stays with its person
-- columns:
--   rule         id                       the rule
--   about        code client|injury|loan  what it speaks about
--   affected     integer                  subjects for whom it is true, whatever was answered
--   could_apply  integer                  subjects that it could be true for
--   sentence     text                     the rule's sentence with both numbers
WITH true_for AS (
    SELECT verdicts.rule, verdicts.about, COUNT(*) AS affected, MAX(verdicts.could_apply) AS could_apply
    FROM audit.verdicts AS verdicts
    WHERE verdicts.verdict
    GROUP BY verdicts.rule, verdicts.about
),
limits AS (
    SELECT
        MAX(CASE WHEN parameters.name = 'loud_rule_share' THEN parameters.amount END) AS share,
        MAX(CASE WHEN parameters.name = 'loud_rule_subjects' THEN parameters.amount END) AS subjects
    FROM policy.parameters AS parameters
)
SELECT
    true_for.rule,
    true_for.about,
    CAST(true_for.affected AS INTEGER) AS affected,
    true_for.could_apply,
    REPLACE(
        REPLACE(rules.service_sentence, '{n}', CAST(true_for.affected AS VARCHAR)),
        '{of}',
        CAST(true_for.could_apply AS VARCHAR)
    ) AS sentence
FROM true_for
INNER JOIN policy.rules AS rules ON rules.rule = true_for.rule
CROSS JOIN limits
WHERE rules.family <> 'safety'
    AND NOT rules.always_in_rows
    AND true_for.could_apply >= limits.subjects
    AND true_for.affected > limits.share * true_for.could_apply
ORDER BY true_for.rule
