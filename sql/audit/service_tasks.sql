-- question: Which faults are so common that they are one task for the service?
-- grain:    one row per rule
-- key:      rule
-- inputs:   audit.raised, state.clients, state.loans, state.injuries, policy.rules, policy.parameters
-- beware:   never a rule of the safety family, an urgent one or one about full thickness: those stay with the person
-- columns:
--   rule      id                       the rule
--   about     code client|injury|loan  what it speaks about
--   affected  integer                  subjects for whom it is true
--   subjects  integer                  subjects that it could be true for
--   sentence  text                     the task in words, with its denominator
WITH subjects AS (
    SELECT 'client' AS about, 'people' AS word, COUNT(*) AS subject_count FROM state.clients AS clients
    UNION ALL
    SELECT 'loan' AS about, 'surfaces' AS word, COUNT(*) AS subject_count FROM state.loans AS loans
    UNION ALL
    SELECT 'injury' AS about, 'open wounds' AS word, COUNT(*) AS subject_count FROM state.injuries AS injuries
),
affected AS (
    SELECT raised.rule, COUNT(*) AS affected_count
    FROM audit.raised AS raised
    WHERE raised.raised_status <> 'subsumed'
    GROUP BY raised.rule
),
share AS (
    SELECT MIN(parameters.amount) AS loud FROM policy.parameters AS parameters WHERE parameters.name = 'loud_rule_share'
)
SELECT
    rules.rule,
    rules.about,
    CAST(affected.affected_count AS INTEGER) AS affected,
    CAST(subjects.subject_count AS INTEGER) AS subjects,
    CAST(affected.affected_count AS VARCHAR) || ' of ' || CAST(subjects.subject_count AS VARCHAR) || ' ' || subjects.word
        || ': ' || rules.title AS sentence
FROM affected
INNER JOIN policy.rules AS rules ON rules.rule = affected.rule
INNER JOIN subjects ON subjects.about = rules.about
CROSS JOIN share
WHERE rules.family <> 'safety'
    AND NOT COALESCE(rules.never_softened, FALSE)
    AND rules.severity <> 'urgent'
    -- A share of fewer than twenty says little about the service.
    AND subjects.subject_count >= 20
    AND affected.affected_count > share.loud * subjects.subject_count
ORDER BY rules.rule
