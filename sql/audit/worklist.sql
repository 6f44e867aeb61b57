-- question: Who is to be seen, in which order, and why?
-- grain:    one row per person with a shown finding on the list of people, or never assessed
-- key:      client_id
-- inputs:   audit.findings, audit.reassessments, audit.to_ask, state.clients, policy.severities
-- beware:   of what is as urgent the more dangerous leads: what nothing may quieten, then the order in which policy lists its rules;
--           lateness comes after that; what only concerns the equipment is in audit.equipment; one person is one row with one leading reason; whoever was never assessed stands under soon and above routine
-- columns:
--   rank               integer  1 for the first to see
--   client_id          id       the person
--   team               text     the person's team
--   clinician          text     the person's clinician
--   urgent_count       integer  shown urgent findings
--   soon_count         integer  shown soon findings
--   routine_count      integer  shown routine findings
--   to_ask_count       integer  questions to ask at the next visit
--   days_overdue       integer  of the leading reason; 0 while in time
--   first_rule         id       the rule that leads; blank for somebody never assessed
--   level              code urgent|soon|never_assessed|routine  where the person stands in the order
--   reason             text     the leading reason in words
--   due_on             date     last day to act in time, for the leading reason
--   more_count         integer  shown findings beside the leading one
--   is_never_assessed  boolean  no usable risk score ever, and the first window has passed
--   has_held_row       boolean  a row of this person is held back
WITH shown AS (
    SELECT
        findings.client_id,
        findings.finding_id,
        findings.rule,
        findings.title,
        findings.severity,
        findings.due_on,
        findings.days_overdue,
        findings.rule_position,
        findings.never_softened,
        ROW_NUMBER() OVER (
            PARTITION BY findings.client_id
            ORDER BY
                severities.position,
                findings.never_softened DESC,
                findings.rule_position,
                findings.days_overdue DESC,
                findings.finding_id
        ) AS place
    FROM audit.findings AS findings
    INNER JOIN policy.severities AS severities ON severities.severity = findings.severity
    WHERE findings.is_shown AND findings.list_name = 'people'
),
counts AS (
    SELECT
        shown.client_id,
        COUNT(CASE WHEN shown.severity = 'urgent' THEN 1 END) AS urgent_count,
        COUNT(CASE WHEN shown.severity = 'soon' THEN 1 END) AS soon_count,
        COUNT(CASE WHEN shown.severity = 'routine' THEN 1 END) AS routine_count
    FROM shown
    GROUP BY shown.client_id
),
asked AS (
    SELECT to_ask.client_id, COUNT(*) AS to_ask_count
    FROM audit.to_ask AS to_ask
    WHERE to_ask.is_asked
    GROUP BY to_ask.client_id
),
never_assessed AS (
    SELECT reassessments.client_id, reassessments.due_on, reassessments.days_overdue
    FROM audit.reassessments AS reassessments
    WHERE reassessments.status = 'never'
),
people AS (
    SELECT
        clients.client_id,
        clients.team,
        clients.clinician,
        clients.has_held_row,
        COALESCE(counts.urgent_count, 0) AS urgent_count,
        COALESCE(counts.soon_count, 0) AS soon_count,
        COALESCE(counts.routine_count, 0) AS routine_count,
        COALESCE(asked.to_ask_count, 0) AS to_ask_count,
        never_assessed.client_id IS NOT NULL AS is_never_assessed,
        never_assessed.client_id IS NOT NULL AND COALESCE(counts.urgent_count + counts.soon_count, 0) = 0
            AS leads_as_never,
        never_assessed.due_on AS never_due_on,
        never_assessed.days_overdue AS never_days_overdue,
        leading_finding.rule,
        leading_finding.title,
        leading_finding.due_on,
        leading_finding.days_overdue,
        leading_finding.never_softened,
        leading_finding.rule_position
    FROM state.clients AS clients
    LEFT JOIN counts ON counts.client_id = clients.client_id
    LEFT JOIN shown AS leading_finding ON leading_finding.client_id = clients.client_id AND leading_finding.place = 1
    LEFT JOIN asked ON asked.client_id = clients.client_id
    LEFT JOIN never_assessed ON never_assessed.client_id = clients.client_id
    WHERE counts.client_id IS NOT NULL OR never_assessed.client_id IS NOT NULL
),
levelled AS (
    SELECT
        people.*,
        CASE
            WHEN people.urgent_count > 0 THEN 1
            WHEN people.soon_count > 0 THEN 2
            WHEN people.is_never_assessed THEN 3
            ELSE 4
        END AS level_position,
        CASE WHEN people.leads_as_never THEN people.never_days_overdue ELSE people.days_overdue END AS lead_days_overdue,
        -- Nobody who was never assessed is worse off than another of them by a routine finding.
        CASE WHEN NOT people.leads_as_never THEN people.never_softened END AS lead_never_softened,
        CASE WHEN NOT people.leads_as_never THEN people.rule_position END AS lead_position
    FROM people
)
SELECT
    CAST(
        ROW_NUMBER() OVER (
            ORDER BY
                levelled.level_position,
                levelled.lead_never_softened DESC,
                levelled.lead_position,
                levelled.lead_days_overdue DESC,
                levelled.client_id
        ) AS INTEGER
    ) AS rank,
    levelled.client_id,
    levelled.team,
    levelled.clinician,
    CAST(levelled.urgent_count AS INTEGER) AS urgent_count,
    CAST(levelled.soon_count AS INTEGER) AS soon_count,
    CAST(levelled.routine_count AS INTEGER) AS routine_count,
    CAST(levelled.to_ask_count AS INTEGER) AS to_ask_count,
    levelled.lead_days_overdue AS days_overdue,
    CASE WHEN NOT levelled.leads_as_never THEN levelled.rule END AS first_rule,
    CASE levelled.level_position WHEN 1 THEN 'urgent' WHEN 2 THEN 'soon' WHEN 3 THEN 'never_assessed' ELSE 'routine' END
        AS level,
    CASE WHEN levelled.leads_as_never THEN 'not yet looked at' ELSE levelled.title END AS reason,
    CASE WHEN levelled.leads_as_never THEN levelled.never_due_on ELSE levelled.due_on END AS due_on,
    CAST(
        levelled.urgent_count + levelled.soon_count + levelled.routine_count
        - CASE WHEN levelled.leads_as_never THEN 0 ELSE 1 END AS INTEGER
    ) AS more_count,
    levelled.is_never_assessed,
    levelled.has_held_row
FROM levelled
ORDER BY rank
