-- question: Which findings stand today, and which of them does a reader see?
-- grain:    one row per finding
-- key:      finding_id
-- inputs:   audit.raised, review.previous_raised, policy.rules, review.parameters
-- beware:   a routine finding is shown from its second audit on; in a first audit everything is a starting backlog and is shown
-- columns:
--   finding_id      id                        md5 of rule and ids
--   rule            id                        the rule
--   about           code client|injury|loan   what the rule speaks about
--   client_id       id                        the person
--   loan_id         id                        the loan, for a rule about a loan
--   injury_id       id                        the injury, for a rule about an injury
--   team            text                      the person's team
--   clinician       text                      the person's clinician
--   severity        code urgent|soon|routine  how soon
--   status          code open|reported_corrected|returned|accepted|subsumed|backlog  where it stands
--   since_on        date                      since when it is so; the as-of day where no date is known
--   since_is_known  boolean                   a date in the evidence says since when
--   due_on          date                      last day to act in time
--   days_overdue    integer                   calendar days past that day; 0 while in time
--   evidence        text                      every column that the rule names, with its value
--   subsumed_by     id                        the open finding that hides this one
--   action_id       id                        what a clinician did about it
--   answer          code accepted|accepted_over|accepted_worse|not_applicable|not_applicable_changed|corrected|corrected_disagrees|corrected_back|arranged|not_reached|never_quiet|comfort_first|declined_lying|declined_sitting|declined_heel|declined_turning  what was answered, and what is left of it
--   quiet_until     date                      last quiet day; blank where it is not quiet, or quiet until the evidence changes
--   is_told_once    boolean                   so common that one sentence about the service tells it, instead of a row for each person
--   list_name       code people|equipment     the list it stands on
--   is_shown        boolean                   a reader sees it as something to do
--   family          text                      the rule's family
--   title           text                      the rule in words
--   consider        text                      what a qualified clinician may consider
--   basis           text                      what the rule rests on
--   source          text                      where that is written
--   never_softened  boolean                   nothing quietens it
--   rule_position   integer                   order of the rule in the policy
SELECT
    raised.finding_id,
    raised.rule,
    raised.about,
    raised.client_id,
    raised.loan_id,
    raised.injury_id,
    raised.team,
    raised.clinician,
    raised.severity,
    CASE WHEN raised.raised_status = 'open' AND parameters.is_first_audit THEN 'backlog' ELSE raised.raised_status END
        AS status,
    raised.since_on,
    raised.since_is_known,
    raised.due_on,
    raised.days_overdue,
    raised.evidence,
    raised.subsumed_by,
    raised.action_id,
    raised.answer,
    raised.quiet_until,
    raised.is_told_once,
    raised.list_name,
    raised.raised_status IN ('open', 'returned')
        AND NOT raised.is_told_once
        AND (raised.severity <> 'routine' OR parameters.is_first_audit OR previous.finding_id IS NOT NULL) AS is_shown,
    rules.family,
    rules.title,
    rules.consider,
    rules.basis,
    rules.source,
    rules.never_softened,
    raised.rule_position
FROM audit.raised AS raised
INNER JOIN policy.rules AS rules ON rules.rule = raised.rule
CROSS JOIN review.parameters AS parameters
LEFT JOIN review.previous_raised AS previous ON previous.finding_id = raised.finding_id
ORDER BY raised.finding_id
