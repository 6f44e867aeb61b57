-- question: What have clinicians done about findings?
-- grain:    one row per action_id
-- key:      action_id
-- inputs:   records.receipts, records.set_aside, records.merged_clients, records.shared_ids, store.actions, records.loans, records.injuries, review.parameters
-- beware:   rows whose event lies after the as-of day are left out, and later dates read as blank
-- columns:
--   action_id      id                          what a clinician did about a finding
--   client_id      id                          the person, after merges
--   rule           text                        rule id
--   loan_id        id                          with injury_id: which of several
--   injury_id      id                          with loan_id: which of several
--   acted_on       date                        day of the action
--   outcome        code actions.outcome        what came of it
--   review_on      date                        day an accepted finding is looked at again
--   role           code actions.role           profession of the clinician
--   updated_at     timestamp                   when the source last changed the record; the receive time where blank
--   record_status  code actions.record_status  FHIR words; blank = final
--   source         text                        who sent it
-- An @ cannot stand in a source's own id, so it marks the ones that were told apart.
WITH shared_loans AS (
    SELECT
        SPLIT_PART(loan_id, '@', 1) AS record_id,
        client_id,
        MIN(loan_id) AS loan_id
    FROM records.loans
    WHERE loan_id LIKE '%@%'
    GROUP BY SPLIT_PART(loan_id, '@', 1), client_id
),
shared_injuries AS (
    SELECT
        SPLIT_PART(injury_id, '@', 1) AS record_id,
        client_id,
        MIN(injury_id) AS injury_id
    FROM records.injuries
    WHERE injury_id LIKE '%@%'
    GROUP BY SPLIT_PART(injury_id, '@', 1), client_id
)
SELECT
    CASE
        WHEN shared_ids.record_id IS NULL THEN actions.action_id
        ELSE actions.action_id || '@' || receipts.source
    END AS action_id,
    COALESCE(merged_clients.client_id, actions.client_id) AS client_id,
    actions.rule,
    COALESCE(shared_loans.loan_id, actions.loan_id) AS loan_id,
    COALESCE(shared_injuries.injury_id, actions.injury_id) AS injury_id,
    actions.acted_on,
    actions.outcome,
    actions.review_on,
    actions.role,
    CASE
        WHEN CAST(COALESCE(actions.updated_at, receipts.received_local) AS DATE) <= parameters.as_of
            THEN COALESCE(actions.updated_at, receipts.received_local)
    END AS updated_at,
    actions.record_status,
    receipts.source
FROM store.actions
INNER JOIN records.receipts ON receipts.file_key = actions.file_key AND receipts.feed = 'actions'
CROSS JOIN review.parameters
LEFT JOIN records.set_aside
    ON set_aside.receipt_number = receipts.receipt_number AND set_aside.source_row = actions.source_row
LEFT JOIN records.merged_clients ON merged_clients.old_client_id = actions.client_id
LEFT JOIN records.shared_ids ON shared_ids.feed = 'actions' AND shared_ids.record_id = actions.action_id
LEFT JOIN shared_loans ON shared_loans.record_id = actions.loan_id AND shared_loans.client_id = COALESCE(merged_clients.client_id, actions.client_id)
LEFT JOIN shared_injuries
    ON shared_injuries.record_id = actions.injury_id
    AND shared_injuries.client_id = COALESCE(merged_clients.client_id, actions.client_id)
WHERE receipts.standing = 'live' AND set_aside.source_row IS NULL
    AND actions.acted_on <= parameters.as_of
