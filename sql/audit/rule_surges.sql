-- question: Which rules are suddenly true of many more or many fewer people than in the audit before?
-- grain:    one row per rule whose share of people moved by more than chance allows
-- key:      rule
-- inputs:   audit.raised, audit.verdicts, audit.tally, review.previous_raised, review.previous_tally, policy.rules, policy.parameters,
--           review.parameters
-- beware:   a sign of a bad column or export sooner than of people; a first audit has none
-- columns:
--   rule             id             the rule
--   title            text           the rule in words
--   people           integer        people of whom it is true now, whatever was answered
--   of_people        integer        people on the caseload now
--   previous_people  integer        people of whom it was true in the audit before
--   of_previous      integer        people on the caseload then
--   change           code up|down   which way it moved
--   untold_people    integer        people of whom it cannot be told now: fewer may be true only because of these
WITH true_now AS (
    SELECT raised.rule, COUNT(DISTINCT raised.client_id) AS people FROM audit.raised AS raised GROUP BY raised.rule
),
true_then AS (
    SELECT previous.rule, COUNT(DISTINCT previous.client_id) AS people
    FROM review.previous_raised AS previous
    GROUP BY previous.rule
),
untold AS (
    SELECT verdicts.rule, COUNT(DISTINCT verdicts.client_id) AS people
    FROM audit.verdicts AS verdicts
    WHERE verdicts.verdict IS NULL
    GROUP BY verdicts.rule
),
limits AS (
    SELECT MAX(parameters.amount) AS errors
    FROM policy.parameters AS parameters
    WHERE parameters.name = 'surge_standard_errors'
),
compared AS (
    SELECT
        rules.rule,
        rules.title,
        COALESCE(true_now.people, 0) AS people,
        tally.people AS of_people,
        COALESCE(true_then.people, 0) AS previous_people,
        previous.people AS of_previous
    FROM policy.rules AS rules
    CROSS JOIN audit.tally AS tally
    CROSS JOIN review.previous_tally AS previous
    CROSS JOIN review.parameters AS parameters
    LEFT JOIN true_now ON true_now.rule = rules.rule
    LEFT JOIN true_then ON true_then.rule = rules.rule
    WHERE NOT parameters.is_first_audit AND tally.is_total AND previous.is_total
),
moved AS (
    SELECT
        compared.*,
        compared.people * compared.of_previous - compared.previous_people * compared.of_people AS difference,
        compared.people + compared.previous_people AS true_of,
        compared.of_people + compared.of_previous AS asked_of
    FROM compared
),
judged AS (
    -- The square of the difference of two shares over that of its standard error, both shares taken as one under chance.
    SELECT
        moved.*,
        ROUND(
            1.0 * moved.difference / NULLIF(moved.of_people, 0) * moved.difference / NULLIF(moved.of_previous, 0)
            * moved.asked_of / NULLIF(moved.true_of * (moved.asked_of - moved.true_of), 0),
            6
        ) AS errors_squared
    FROM moved
)
SELECT
    judged.rule,
    judged.title,
    CAST(judged.people AS INTEGER) AS people,
    judged.of_people,
    CAST(judged.previous_people AS INTEGER) AS previous_people,
    judged.of_previous,
    CASE SIGN(judged.difference) WHEN 1 THEN 'up' ELSE 'down' END AS change,
    CAST(COALESCE(untold.people, 0) AS INTEGER) AS untold_people
FROM judged
CROSS JOIN limits
LEFT JOIN untold ON untold.rule = judged.rule
WHERE judged.errors_squared > limits.errors * limits.errors
ORDER BY judged.rule
