-- question: What did somebody answer to each finding, and what does that leave of it today?
-- grain:    one row per true verdict that an action speaks of or a softening quietens
-- key:      rule, client_id, loan_id?, injury_id?
-- inputs:   audit.verdicts, records.actions, audit.softenings, audit.worsened, audit.last_recorded, state.column_origins,
--           policy.rules, policy.rule_softening, policy.parameters, review.parameters
-- beware:   of several actions the newest counts; what policy calls never softened is quietened by nothing; not reached and
--           arranged quieten nothing
-- columns:
--   rule         id    the rule
--   client_id    id    the person
--   loan_id      id    the loan, for a rule about a loan
--   injury_id    id    the injury, for a rule about an injury
--   action_id    id    the newest action that speaks of it
--   acted_on     date  day of that action
--   status       code open|accepted|reported_corrected|returned  what is left of the finding
--   answer       code accepted|accepted_over|accepted_worse|not_applicable|not_applicable_changed|corrected|corrected_disagrees|corrected_back|arranged|not_reached|never_quiet|comfort_first|declined_lying|declined_sitting|declined_heel|declined_turning  why
--   quiet_until  date  last quiet day; blank where it is not quiet, or quiet until the evidence changes
WITH found AS (
    SELECT
        verdicts.rule,
        verdicts.client_id,
        verdicts.loan_id,
        verdicts.injury_id,
        -- A rule speaks of a surface or of a wound or of neither, so one word names what it is about.
        COALESCE(verdicts.loan_id, verdicts.injury_id, '') AS subject_id,
        verdicts.evidence,
        rules.clears,
        rules.severity,
        COALESCE(rules.never_softened, FALSE) AS never_softened
    FROM audit.verdicts AS verdicts
    INNER JOIN policy.rules AS rules ON rules.rule = verdicts.rule
    WHERE verdicts.verdict
),
matched AS (
    SELECT
        found.*,
        actions.action_id,
        actions.acted_on,
        actions.outcome,
        actions.review_on,
        ROW_NUMBER() OVER (
            PARTITION BY found.rule, found.client_id, found.subject_id
            ORDER BY
                actions.acted_on DESC,
                actions.updated_at DESC NULLS LAST,
                -- Of two at one time the one that names this surface or wound says more than one that names none.
                COALESCE(actions.loan_id, actions.injury_id) IS NULL,
                actions.action_id DESC
        ) AS place
    FROM found
    INNER JOIN records.actions AS actions
        ON actions.rule = found.rule
        AND actions.client_id = found.client_id
        AND (actions.loan_id IS NULL OR found.loan_id IS NULL OR actions.loan_id = found.loan_id)
        AND (actions.injury_id IS NULL OR found.injury_id IS NULL OR actions.injury_id = found.injury_id)
),
acted AS (
    SELECT matched.* FROM matched WHERE matched.place = 1
),
named AS (
    -- Evidence reads `column = value; ...`, so it says which columns the finding rests on.
    SELECT acted.*, UNNEST(string_split(acted.evidence, '; ')) AS part
    FROM acted
),
moved AS (
    SELECT
        named.rule,
        named.client_id,
        named.subject_id,
        COUNT(CASE WHEN origins.column_name = named.clears THEN 1 END) > 0 AS what_clears_moved
    FROM named
    INNER JOIN state.column_origins AS origins ON origins.column_name = split_part(named.part, ' = ', 1)
    INNER JOIN audit.last_recorded AS last_recorded
        ON last_recorded.client_id = named.client_id
        AND last_recorded.feed = origins.feed
        AND (last_recorded.loan_id IS NULL OR named.loan_id IS NULL OR last_recorded.loan_id = named.loan_id)
        AND (last_recorded.injury_id IS NULL OR named.injury_id IS NULL OR last_recorded.injury_id = named.injury_id)
        AND last_recorded.recorded_on > named.acted_on
    GROUP BY named.rule, named.client_id, named.subject_id
),
correction AS (
    SELECT CAST(MAX(parameters.amount) AS INTEGER) AS days
    FROM policy.parameters AS parameters
    WHERE parameters.name = 'corrected_disagrees_days'
),
limited AS (
    SELECT
        acted.*,
        -- The earlier of the agreed review day and the longest that policy lets such a finding be quiet.
        CASE acted.outcome
            WHEN 'corrected' THEN acted.acted_on + correction.days
            WHEN 'accepted' THEN LEAST(
                COALESCE(acted.review_on, acted.acted_on + CAST(longest.amount AS INTEGER)),
                acted.acted_on + CAST(longest.amount AS INTEGER)
            )
        END AS quiet_until,
        COALESCE(worsened.worse_on > acted.acted_on, FALSE) AS got_worse,
        moved.rule IS NOT NULL AS evidence_moved,
        COALESCE(moved.what_clears_moved, FALSE) AS what_clears_moved,
        parameters.as_of
    FROM acted
    CROSS JOIN correction
    CROSS JOIN review.parameters AS parameters
    INNER JOIN policy.parameters AS longest ON longest.name = 'accepted_' || acted.severity || '_days'
    LEFT JOIN audit.worsened AS worsened ON worsened.client_id = acted.client_id
    LEFT JOIN moved
        ON moved.rule = acted.rule AND moved.client_id = acted.client_id AND moved.subject_id = acted.subject_id
),
heard AS (
    SELECT
        limited.*,
        CASE
            WHEN limited.outcome IN ('arranged', 'not_reached') THEN limited.outcome
            WHEN limited.outcome = 'corrected' AND limited.what_clears_moved THEN 'corrected_back'
            WHEN limited.outcome = 'corrected' AND limited.as_of > limited.quiet_until THEN 'corrected_disagrees'
            WHEN limited.never_softened THEN 'never_quiet'
            WHEN limited.outcome = 'accepted' AND limited.got_worse THEN 'accepted_worse'
            WHEN limited.outcome = 'accepted' AND limited.as_of > limited.quiet_until THEN 'accepted_over'
            WHEN limited.outcome = 'not_applicable' AND limited.evidence_moved THEN 'not_applicable_changed'
            ELSE limited.outcome
        END AS answer
    FROM limited
),
softened AS (
    SELECT
        found.rule,
        found.client_id,
        found.subject_id,
        softenings.softened_by,
        softenings.until_on,
        ROW_NUMBER() OVER (
            PARTITION BY found.rule, found.client_id, found.subject_id
            ORDER BY softenings.until_on DESC, softenings.softened_by
        ) AS place
    FROM found
    INNER JOIN policy.rule_softening AS rule_softening ON rule_softening.rule = found.rule
    INNER JOIN audit.softenings AS softenings
        ON softenings.client_id = found.client_id AND softenings.softened_by = rule_softening.softened_by
    WHERE NOT found.never_softened
),
told AS (
    SELECT
        found.rule,
        found.client_id,
        found.loan_id,
        found.injury_id,
        heard.action_id,
        heard.acted_on,
        -- What a clinician said of this finding goes before what was agreed about the person.
        CASE
            WHEN heard.answer IN ('accepted', 'not_applicable', 'corrected') THEN heard.answer
            ELSE COALESCE(softened.softened_by, heard.answer)
        END AS answer,
        heard.quiet_until AS action_until,
        softened.softened_by,
        softened.until_on
    FROM found
    LEFT JOIN heard
        ON heard.rule = found.rule AND heard.client_id = found.client_id AND heard.subject_id = found.subject_id
    LEFT JOIN softened
        ON softened.rule = found.rule
        AND softened.client_id = found.client_id
        AND softened.subject_id = found.subject_id
        AND softened.place = 1
    WHERE heard.rule IS NOT NULL OR softened.rule IS NOT NULL
)
SELECT
    told.rule,
    told.client_id,
    told.loan_id,
    told.injury_id,
    told.action_id,
    told.acted_on,
    CASE
        WHEN told.answer = 'corrected' THEN 'reported_corrected'
        WHEN told.answer IN ('corrected_back', 'corrected_disagrees') THEN 'returned'
        WHEN told.answer IN ('accepted', 'not_applicable') OR told.answer = told.softened_by THEN 'accepted'
        ELSE 'open'
    END AS status,
    told.answer,
    CASE
        WHEN told.answer = told.softened_by THEN told.until_on
        WHEN told.answer IN ('accepted', 'corrected') THEN told.action_until
    END AS quiet_until
FROM told
ORDER BY told.rule, told.client_id, told.loan_id, told.injury_id
