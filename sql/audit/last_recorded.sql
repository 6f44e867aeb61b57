-- question: When was something last recorded, by feed, about each person of whom an action speaks?
-- grain:    one row per person with an action, feed, and loan or injury where the feed has one
-- key:      client_id, feed, loan_id?, injury_id?
-- inputs:   records.actions, records.placements, records.assessments, records.circumstances, records.injuries,
--           records.loans, records.set_aside
-- beware:   the newest day that a row tells of; the day of its change only where it replaced an earlier version of itself
-- columns:
--   client_id    id    the person
--   feed         text  the feed
--   loan_id      id    the loan, for the feed of loans
--   injury_id    id    the injury, for the feed of injuries
--   recorded_on  date  newest day
WITH people AS (
    SELECT DISTINCT actions.client_id FROM records.actions AS actions
),
told AS (
    SELECT
        placements.client_id,
        'placements' AS feed,
        placements.placement_id AS record_id,
        CAST(NULL AS VARCHAR) AS loan_id,
        CAST(NULL AS VARCHAR) AS injury_id,
        CAST(placements.started_at AS DATE) AS told_on,
        placements.source,
        CAST(placements.updated_at AS DATE) AS changed_on
    FROM records.placements AS placements
    UNION ALL
    SELECT
        assessments.client_id,
        'assessments' AS feed,
        assessments.assessment_id AS record_id,
        CAST(NULL AS VARCHAR) AS loan_id,
        CAST(NULL AS VARCHAR) AS injury_id,
        CAST(assessments.assessed_at AS DATE) AS told_on,
        assessments.source,
        CAST(assessments.updated_at AS DATE) AS changed_on
    FROM records.assessments AS assessments
    UNION ALL
    SELECT
        forms.client_id,
        'circumstances' AS feed,
        forms.circumstances_id AS record_id,
        CAST(NULL AS VARCHAR) AS loan_id,
        CAST(NULL AS VARCHAR) AS injury_id,
        forms.observed_on AS told_on,
        forms.source,
        CAST(forms.updated_at AS DATE) AS changed_on
    FROM records.circumstances AS forms
    UNION ALL
    SELECT
        looks.client_id,
        'injuries' AS feed,
        looks.injury_observation_id AS record_id,
        CAST(NULL AS VARCHAR) AS loan_id,
        looks.injury_id,
        CAST(looks.observed_at AS DATE) AS told_on,
        looks.source,
        CAST(looks.updated_at AS DATE) AS changed_on
    FROM records.injuries AS looks
    UNION ALL
    SELECT
        loans.client_id,
        'loans' AS feed,
        loans.loan_id AS record_id,
        loans.loan_id,
        CAST(NULL AS VARCHAR) AS injury_id,
        GREATEST(
            loans.requested_on, loans.issued_on, loans.returned_on, loans.inspected_on, loans.serviced_on,
            loans.electrical_test_on, loans.state_seen_on, loans.cover_opened_on, loans.bottoming_checked_on,
            loans.trial_started_on, loans.trial_reviewed_on, loans.reviewed_on, loans.skin_checked_on
        ) AS told_on,
        loans.source,
        CAST(loans.updated_at AS DATE) AS changed_on
    FROM records.loans AS loans
),
-- A first version tells of its own days. One that replaced another says that something was changed on its day.
replaced AS (
    SELECT DISTINCT set_aside.feed, set_aside.source, set_aside.record_id
    FROM records.set_aside AS set_aside
    WHERE set_aside.version_status = 'superseded'
)
SELECT
    told.client_id,
    told.feed,
    told.loan_id,
    told.injury_id,
    MAX(
        CASE
            WHEN replaced.record_id IS NULL THEN told.told_on
            ELSE GREATEST(told.told_on, told.changed_on)
        END
    ) AS recorded_on
FROM people
INNER JOIN told ON told.client_id = people.client_id
-- An @ in an id marks the records of two sources that were told apart.
LEFT JOIN replaced
    ON replaced.feed = told.feed
    AND replaced.source = told.source
    AND replaced.record_id = SPLIT_PART(told.record_id, '@', 1)
GROUP BY told.client_id, told.feed, told.loan_id, told.injury_id
ORDER BY told.client_id, told.feed, told.loan_id, told.injury_id
