-- question: Which findings do the rules raise today, for whom, due when?
-- grain:    one row per rule and subject whose verdict is true
-- key:      finding_id
-- inputs:   audit.verdicts, audit.answered, audit.service_sentences, state.clients, policy.rules, policy.rule_subsumes, policy.severities,
--           policy.calendar, review.parameters
-- beware:   nothing here looks at the audit before: that is what makes this audit comparable with it
-- columns:
--   finding_id      id                        md5 of rule and ids, so that a finding keeps its id from one audit to the next
--   rule            id                        the rule
--   about           code client|injury|loan   what the rule speaks about
--   client_id       id                        the person
--   loan_id         id                        the loan, for a rule about a loan
--   injury_id       id                        the injury, for a rule about an injury
--   team            text                      the person's team
--   clinician       text                      the person's clinician
--   severity        code urgent|soon|routine  how soon
--   raised_status   code open|accepted|reported_corrected|returned|subsumed  before any look at the audit before
--   since_on        date                      since when it is so; the as-of day where no date is known
--   since_is_known  boolean                   a date in the evidence says since when; a day that is still to come does not
--   due_on          date                      last day to act in time; what began before 2000 counts its working days from then
--   days_overdue    integer                   calendar days past that day; 0 while in time
--   evidence        text                      every column that the rule names, with its value
--   subsumed_by     id                        the open finding that one visit would mend together with this one
--   action_id       id                        what a clinician did about it
--   answer          code accepted|accepted_over|accepted_worse|not_applicable|not_applicable_changed|corrected|corrected_disagrees|corrected_back|arranged|not_reached|never_quiet|comfort_first|declined_lying|declined_sitting|declined_heel|declined_turning  what was answered, and what is left of it
--   quiet_until     date                      last quiet day; blank where it is not quiet, or quiet until the evidence changes
--   is_told_once    boolean                   so common that one sentence about the service tells it, instead of a row for each person
--   list_name       code people|equipment     the list it stands on
--   rule_position   integer                   order of the rule in the policy
WITH found AS (
    SELECT
        md5(
            verdicts.rule || '|' || verdicts.client_id || '|' || COALESCE(verdicts.loan_id, '') || '|'
            || COALESCE(verdicts.injury_id, '')
        ) AS finding_id,
        verdicts.rule,
        verdicts.about,
        verdicts.client_id,
        verdicts.loan_id,
        verdicts.injury_id,
        verdicts.evidence,
        rules.severity,
        rules.position AS rule_position,
        rules.list_name,
        severities.position AS severity_position,
        severities.due_days,
        severities.day_kind,
        clients.team,
        clients.clinician,
        parameters.as_of,
        COALESCE(verdicts.since_on <= parameters.as_of, FALSE) AS since_is_known,
        -- A planned day may lie ahead; nothing has been so since then.
        LEAST(verdicts.since_on, parameters.as_of) AS since_on,
        answered.action_id,
        answered.answer,
        answered.quiet_until,
        COALESCE(answered.status, 'open') AS action_status,
        sentences.rule IS NOT NULL AS is_told_once
    FROM audit.verdicts AS verdicts
    INNER JOIN state.clients AS clients ON clients.client_id = verdicts.client_id
    INNER JOIN policy.rules AS rules ON rules.rule = verdicts.rule
    INNER JOIN policy.severities AS severities ON severities.severity = rules.severity
    CROSS JOIN review.parameters AS parameters
    LEFT JOIN audit.answered AS answered
        ON answered.rule = verdicts.rule
        AND answered.client_id = verdicts.client_id
        AND COALESCE(answered.loan_id, answered.injury_id, '') = COALESCE(verdicts.loan_id, verdicts.injury_id, '')
    LEFT JOIN audit.service_sentences AS sentences ON sentences.rule = verdicts.rule
    WHERE verdicts.verdict
),
working_days AS (
    SELECT calendar.working_day_number, MIN(calendar.day) AS day
    FROM policy.calendar AS calendar
    GROUP BY calendar.working_day_number
),
calendar_span AS (
    SELECT MIN(calendar.day) AS first_day
    FROM policy.calendar AS calendar
),
dated AS (
    SELECT
        found.*,
        CASE
            WHEN found.day_kind = 'working' THEN working_days.day
            ELSE found.since_on + found.due_days
        END AS due_on
    FROM found
    CROSS JOIN calendar_span
    INNER JOIN policy.calendar AS calendar ON calendar.day = GREATEST(found.since_on, calendar_span.first_day)
    LEFT JOIN working_days ON working_days.working_day_number = calendar.working_day_number + found.due_days
),
hiders AS (
    -- Only a finding that still asks for somebody can hide another one, and one that left the rows would hide it for good.
    SELECT
        hidden.finding_id,
        hider.finding_id AS hider_id,
        hider.severity_position,
        hider.rule_position
    FROM dated AS hidden
    INNER JOIN policy.rule_subsumes AS rule_subsumes ON rule_subsumes.subsumes = hidden.rule
    INNER JOIN dated AS hider
        ON hider.rule = rule_subsumes.rule
        AND hider.client_id = hidden.client_id
        AND hider.action_status IN ('open', 'returned')
        AND NOT hider.is_told_once
        AND (hider.loan_id IS NULL OR hidden.loan_id IS NULL OR hider.loan_id = hidden.loan_id)
        AND (hider.injury_id IS NULL OR hidden.injury_id IS NULL OR hider.injury_id = hidden.injury_id)
),
hidden_ids AS (
    SELECT DISTINCT hiders.finding_id FROM hiders
),
open_hiders AS (
    -- A hidden finding is not open, so it hides nothing itself; the relation of rules is transitive already.
    SELECT
        hiders.finding_id,
        hiders.hider_id,
        ROW_NUMBER() OVER (
            PARTITION BY hiders.finding_id
            ORDER BY hiders.severity_position, hiders.rule_position, hiders.hider_id
        ) AS place
    FROM hiders
    LEFT JOIN hidden_ids ON hidden_ids.finding_id = hiders.hider_id
    WHERE hidden_ids.finding_id IS NULL
)
SELECT
    dated.finding_id,
    dated.rule,
    dated.about,
    dated.client_id,
    dated.loan_id,
    dated.injury_id,
    dated.team,
    dated.clinician,
    dated.severity,
    CASE WHEN open_hiders.hider_id IS NOT NULL THEN 'subsumed' ELSE dated.action_status END
        AS raised_status,
    dated.since_on,
    dated.since_is_known,
    dated.due_on,
    CAST(GREATEST(date_diff('day', dated.due_on, dated.as_of), 0) AS INTEGER) AS days_overdue,
    dated.evidence,
    open_hiders.hider_id AS subsumed_by,
    dated.action_id,
    dated.answer,
    dated.quiet_until,
    dated.is_told_once,
    dated.list_name,
    dated.rule_position
FROM dated
LEFT JOIN open_hiders ON open_hiders.finding_id = dated.finding_id AND open_hiders.place = 1
ORDER BY dated.finding_id
