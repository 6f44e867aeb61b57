-- question: Which rules cannot be told for whom, for want of which fact, and why is it wanting?
-- grain:    one row per rule, subject and missing column
-- key:      rule, client_id, loan_id?, injury_id?, column_name
-- inputs:   audit.verdicts, state.clients, state.loans, state.feeds_heard, state.column_origins
-- beware:   these are not clear: nothing is known here; to_ask is the list for people
-- stored:   view
-- columns:
--   rule         id                       the rule
--   about        code client|injury|loan  what the rule speaks about
--   client_id    id                       the person
--   loan_id      id                       the loan, for a rule about a loan
--   injury_id    id                       the injury, for a rule about an injury
--   column_name  text                     the fact that is wanting
--   why          code not_recorded|too_old|feed_absent  why it is
WITH named AS (
    SELECT
        verdicts.rule,
        verdicts.about,
        verdicts.client_id,
        verdicts.loan_id,
        verdicts.injury_id,
        UNNEST(STRING_SPLIT(verdicts.missing_columns, '; ')) AS column_name
    FROM audit.verdicts AS verdicts
    WHERE verdicts.verdict IS NULL
)
SELECT
    named.rule,
    named.about,
    named.client_id,
    named.loan_id,
    named.injury_id,
    named.column_name,
    CASE
        WHEN (origins.feed = 'clients' AND NOT heard.clients_heard)
            OR (origins.feed = 'placements' AND NOT heard.placements_heard)
            OR (origins.feed = 'assessments' AND NOT heard.assessments_heard)
            OR (origins.feed = 'circumstances' AND NOT heard.circumstances_heard)
            OR (origins.feed = 'injuries' AND NOT heard.injuries_heard)
            OR (origins.feed = 'loans' AND NOT heard.loans_heard)
            THEN 'feed_absent'
        WHEN origins.grows_old = 'score' AND clients.risk_is_stale THEN 'too_old'
        -- The sighting is blank by age only where there was one: a loan that nobody ever looked at is not recorded.
        WHEN origins.grows_old = 'sighting' AND loans.state_seen_on IS NOT NULL AND loans.state_is_too_old THEN 'too_old'
        WHEN origins.grows_old = 'answer'
            AND '; ' || COALESCE(clients.answers_too_old, '') || '; ' LIKE '%; ' || named.column_name || '; %'
            THEN 'too_old'
        ELSE 'not_recorded'
    END AS why
FROM named
CROSS JOIN state.feeds_heard AS heard
LEFT JOIN state.column_origins AS origins ON origins.column_name = named.column_name
LEFT JOIN state.clients AS clients ON clients.client_id = named.client_id
LEFT JOIN state.loans AS loans ON loans.client_id = named.client_id AND loans.loan_id = named.loan_id
