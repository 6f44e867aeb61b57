-- question: What is new, what still stands and what is resolved since the audit before?
-- grain:    one row per finding that is open now or was open then
-- key:      finding_id
-- inputs:   audit.raised, review.previous_raised, review.parameters
-- beware:   a first audit has no rows: a starting backlog is not news; what is hidden by another finding, or told once for all, is not resolved
-- columns:
--   finding_id  id                          md5 of rule and ids
--   change      code new|standing|resolved  against the audit before
--   rule        id                          the rule
--   client_id   id                          the person
--   loan_id     id                          the loan, for a rule about a loan
--   injury_id   id                          the injury, for a rule about an injury
--   team        text                        the person's team, as of then for a resolved one
--   severity    code urgent|soon|routine    how soon
WITH compared AS (
    SELECT
        COALESCE(raised.finding_id, previous.finding_id) AS finding_id,
        CASE
            WHEN raised.finding_id IS NULL THEN 'resolved'
            WHEN previous.finding_id IS NULL THEN 'new'
            ELSE 'standing'
        END AS change,
        COALESCE(raised.rule, previous.rule) AS rule,
        COALESCE(raised.client_id, previous.client_id) AS client_id,
        COALESCE(raised.loan_id, previous.loan_id) AS loan_id,
        COALESCE(raised.injury_id, previous.injury_id) AS injury_id,
        CASE WHEN raised.finding_id IS NULL THEN previous.team ELSE raised.team END AS team,
        COALESCE(raised.severity, previous.severity) AS severity,
        COALESCE(raised.raised_status, previous.raised_status) AS raised_status,
        COALESCE(raised.is_told_once, previous.is_told_once) AS is_told_once
    FROM audit.raised AS raised
    FULL OUTER JOIN review.previous_raised AS previous ON previous.finding_id = raised.finding_id
)
SELECT
    compared.finding_id,
    compared.change,
    compared.rule,
    compared.client_id,
    compared.loan_id,
    compared.injury_id,
    compared.team,
    compared.severity
FROM compared
CROSS JOIN review.parameters AS parameters
WHERE compared.raised_status IN ('open', 'returned')
    AND NOT compared.is_told_once
    AND NOT parameters.is_first_audit
ORDER BY compared.finding_id
