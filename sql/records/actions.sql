-- question: What have clinicians done about findings?
-- grain:    one row per action_id
-- key:      action_id
-- inputs:   records.versions, records.receipts, store.actions, records.injuries, review.parameters
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
WITH shared_loans AS (
    SELECT
        record_id,
        client_id,
        MIN(public_id) AS public_id
    FROM records.versions
    WHERE feed = 'loans' AND version_status = 'current' AND public_id <> record_id
    GROUP BY record_id, client_id
),
-- An @ cannot stand in a source's own id, so it marks the ones that were told apart.
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
    versions.public_id AS action_id,
    versions.client_id,
    actions.rule,
    COALESCE(shared_loans.public_id, actions.loan_id) AS loan_id,
    COALESCE(shared_injuries.injury_id, actions.injury_id) AS injury_id,
    actions.acted_on,
    actions.outcome,
    actions.review_on,
    actions.role,
    CASE WHEN CAST(versions.updated_at AS DATE) <= parameters.as_of THEN versions.updated_at END AS updated_at,
    actions.record_status,
    versions.source
FROM records.versions
INNER JOIN records.receipts ON receipts.receipt_number = versions.receipt_number
INNER JOIN store.actions ON actions.file_key = receipts.file_key AND actions.source_row = versions.source_row
CROSS JOIN review.parameters
LEFT JOIN shared_loans ON shared_loans.record_id = actions.loan_id AND shared_loans.client_id = versions.client_id
LEFT JOIN shared_injuries
    ON shared_injuries.record_id = actions.injury_id
    AND shared_injuries.client_id = versions.client_id
WHERE versions.feed = 'actions' AND versions.version_status = 'current'
    AND actions.acted_on <= parameters.as_of
