-- question: Which surfaces need somebody to see to them, apart from any visit to a person?
-- grain:    one row per shown finding on the list of equipment
-- key:      finding_id
-- inputs:   audit.findings, state.loans, policy.severities
-- beware:   nobody is on the list of people for one of these alone; a surface with two faults has two rows
-- columns:
--   rank           integer                   1 for the first to see to
--   finding_id     id                        the finding
--   rule           id                        the rule
--   loan_id        id                        the surface
--   device_id      id                        the device, where the source knows it
--   surface_class  code loans.surface_class  its class
--   position       code loans.position       lying or sitting
--   owner          code loans.owner          whose it is
--   client_id      id                        whose bed or seat it is
--   team           text                      the person's team
--   clinician      text                      the person's clinician
--   severity       code urgent|soon|routine  how soon
--   status         code open|returned|backlog  where the finding stands
--   title          text                      the fault in words
--   since_on       date                      since when it is so; the as-of day where no date is known
--   due_on         date                      last day to act in time
--   days_overdue   integer                   calendar days past that day; 0 while in time
SELECT
    CAST(
        ROW_NUMBER() OVER (
            ORDER BY severities.position, findings.days_overdue DESC, findings.rule_position, findings.finding_id
        ) AS INTEGER
    ) AS rank,
    findings.finding_id,
    findings.rule,
    findings.loan_id,
    loans.device_id,
    loans.surface_class,
    loans.position,
    loans.owner,
    findings.client_id,
    findings.team,
    findings.clinician,
    findings.severity,
    findings.status,
    findings.title,
    findings.since_on,
    findings.due_on,
    findings.days_overdue
FROM audit.findings AS findings
INNER JOIN policy.severities AS severities ON severities.severity = findings.severity
LEFT JOIN state.loans AS loans ON loans.client_id = findings.client_id AND loans.loan_id = findings.loan_id
WHERE findings.is_shown AND findings.list_name = 'equipment'
ORDER BY rank
