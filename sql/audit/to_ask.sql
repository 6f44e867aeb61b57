-- question: What should be asked about each person at the next visit?
-- grain:    one row per person and missing fact
-- key:      client_id, column_name
-- inputs:   audit.unknowns, state.clients, policy.rules, policy.severities, policy.labels, policy.parameters
-- beware:   people are asked those with is_asked; what a feed that never came would tell stands in audit.unknowns alone: no visit can settle it
-- columns:
--   client_id      id       the person
--   team           text     the person's team
--   clinician      text     the person's clinician
--   column_name    text     the fact
--   label          text     the fact in words
--   why            code not_recorded|too_old  why it is wanting
--   rules_waiting  integer  rules that it would help to settle
--   rank           integer  1 for the first to ask: by verdicts that wait for it, then rules, then urgency
--   is_asked       boolean  one of the few that are asked at the next visit
WITH wanted AS (
    SELECT
        unknowns.client_id,
        unknowns.column_name,
        MAX(unknowns.why) AS why,
        COUNT(*) AS verdicts_waiting,
        COUNT(DISTINCT unknowns.rule) AS rules_waiting,
        MIN(severities.position) AS severity_position
    FROM audit.unknowns AS unknowns
    LEFT JOIN policy.rules AS rules ON rules.rule = unknowns.rule
    LEFT JOIN policy.severities AS severities ON severities.severity = rules.severity
    WHERE unknowns.why <> 'feed_absent'
    GROUP BY unknowns.client_id, unknowns.column_name
),
ranked AS (
    SELECT
        wanted.client_id,
        wanted.column_name,
        wanted.why,
        wanted.rules_waiting,
        ROW_NUMBER() OVER (
            PARTITION BY wanted.client_id
            ORDER BY
                wanted.verdicts_waiting DESC,
                wanted.rules_waiting DESC,
                wanted.severity_position NULLS LAST,
                wanted.column_name
        ) AS place
    FROM wanted
),
most AS (
    SELECT MAX(parameters.amount) AS questions FROM policy.parameters AS parameters WHERE parameters.name = 'to_ask_most'
)
SELECT
    ranked.client_id,
    clients.team,
    clients.clinician,
    ranked.column_name,
    COALESCE(labels.label, REPLACE(ranked.column_name, '_', ' ')) AS label,
    ranked.why,
    CAST(ranked.rules_waiting AS INTEGER) AS rules_waiting,
    CAST(ranked.place AS INTEGER) AS rank,
    ranked.place <= most.questions AS is_asked
FROM ranked
INNER JOIN state.clients AS clients ON clients.client_id = ranked.client_id
CROSS JOIN most
LEFT JOIN policy.labels AS labels ON labels.kind = 'column' AND labels.code = ranked.column_name
