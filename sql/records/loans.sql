-- question: Which surfaces has each person been lent or asked for?
-- grain:    one row per loan_id
-- key:      loan_id
-- inputs:   records.receipts, records.set_aside, records.merged_clients, records.shared_ids, store.loans, records.placements, review.parameters
-- beware:   a loan that was asked for after the as-of day is left out; whatever else happened after it reads as blank
-- columns:
--   loan_id                 id                           one surface for one person, from request to return; a reissued device is a new loan
--   device_id               id                           the device, when the source knows it
--   client_id               id                           the person, after merges
--   position                code loans.position          for lying or for sitting
--   surface_class           code loans.surface_class     class of surface
--   is_overlay              boolean                      lies on top of another mattress
--   loan_status             code loans.loan_status       blank = issued where issued_on stands
--   placement_id            id                           where it is; blank = the usual home
--   owner                   code loans.owner             whose it is
--   need_identified_on      date                         day the need was seen
--   requested_on            date                         day it was asked for
--   issued_on               date                         blank = still waiting
--   returned_on             date                         day it went back
--   end_reason              code loans.end_reason        why it went back
--   max_user_kg             number                       kg, heaviest user
--   min_user_kg             number                       kg, lightest user
--   width_cm                number                       cm
--   made_on                 date                         day it was made
--   inspected_on            date                         day of the last inspection
--   serviced_on             date                         day of the last service
--   electrical_test_on      date                         day of the last electrical safety test
--   state_seen_on           date                         when the state columns up to fitted_correctly were seen; they have a shelf life
--   in_use                  boolean                      the person lies or sits on it
--   cover_condition         code loans.cover_condition   condition of the cover
--   mode                    code loans.mode              mode the pump runs in
--   mode_hours              number                       h in this mode
--   cycle_minutes           number                       min, one alternating cycle
--   pump_state              code loans.pump_state        state of the pump
--   setting                 number                       in setting_kind
--   setting_kind            code loans.setting_kind      what setting counts
--   leak_seen               boolean                      a leak was seen
--   power_leads_safe        boolean                      power leads lie safely
--   fitted_correctly        boolean                      right way round, right size, cover on
--   cover_opened_on         date                         cover unzipped and core inspected
--   bottoming_check         code loans.bottoming_check   does the body reach the base
--   bottoming_method        code loans.bottoming_method  how that was checked
--   bottoming_checked_on    date                         day that was checked
--   trial_started_on        date                         first day of a trial
--   trial_reviewed_on       date                         day the trial was reviewed
--   trial_outcome           code loans.trial_outcome     what the trial decided
--   reviewed_on             date                         surface review by a clinician
--   skin_checked_on         date                         first skin check after issue
--   justification_recorded  boolean                      the reason for this class is on record
--   updated_at              timestamp                    when the source last changed the record; the receive time where blank
--   record_status           code loans.record_status     FHIR words; blank = final
--   source                  text                         who sent it
-- An @ cannot stand in a source's own id, so it marks the ones that were told apart.
WITH shared_placements AS (
    SELECT
        SPLIT_PART(placement_id, '@', 1) AS record_id,
        client_id,
        MIN(placement_id) AS placement_id
    FROM records.placements
    WHERE placement_id LIKE '%@%'
    GROUP BY SPLIT_PART(placement_id, '@', 1), client_id
)
SELECT
    CASE
        WHEN shared_ids.record_id IS NULL THEN loans.loan_id
        ELSE loans.loan_id || '@' || receipts.source
    END AS loan_id,
    loans.device_id,
    COALESCE(merged_clients.client_id, loans.client_id) AS client_id,
    loans.position,
    loans.surface_class,
    loans.is_overlay,
    CASE
        WHEN loans.returned_on > parameters.as_of AND loans.loan_status = 'returned' THEN NULL
        WHEN loans.issued_on > parameters.as_of AND loans.loan_status IN ('issued', 'returned') THEN NULL
        ELSE loans.loan_status
    END AS loan_status,
    COALESCE(shared_placements.placement_id, loans.placement_id) AS placement_id,
    loans.owner,
    CASE WHEN loans.need_identified_on <= parameters.as_of THEN loans.need_identified_on END AS need_identified_on,
    CASE WHEN loans.requested_on <= parameters.as_of THEN loans.requested_on END AS requested_on,
    CASE WHEN loans.issued_on <= parameters.as_of THEN loans.issued_on END AS issued_on,
    CASE WHEN loans.returned_on <= parameters.as_of THEN loans.returned_on END AS returned_on,
    CASE WHEN loans.returned_on > parameters.as_of THEN NULL ELSE loans.end_reason END AS end_reason,
    loans.max_user_kg,
    loans.min_user_kg,
    loans.width_cm,
    CASE WHEN loans.made_on <= parameters.as_of THEN loans.made_on END AS made_on,
    CASE WHEN loans.inspected_on <= parameters.as_of THEN loans.inspected_on END AS inspected_on,
    CASE WHEN loans.serviced_on <= parameters.as_of THEN loans.serviced_on END AS serviced_on,
    CASE WHEN loans.electrical_test_on <= parameters.as_of THEN loans.electrical_test_on END AS electrical_test_on,
    CASE WHEN loans.state_seen_on <= parameters.as_of THEN loans.state_seen_on END AS state_seen_on,
    CASE WHEN loans.state_seen_on > parameters.as_of THEN NULL ELSE loans.in_use END AS in_use,
    CASE WHEN loans.state_seen_on > parameters.as_of THEN NULL ELSE loans.cover_condition END AS cover_condition,
    CASE WHEN loans.state_seen_on > parameters.as_of THEN NULL ELSE loans.mode END AS mode,
    CASE WHEN loans.state_seen_on > parameters.as_of THEN NULL ELSE loans.mode_hours END AS mode_hours,
    CASE WHEN loans.state_seen_on > parameters.as_of THEN NULL ELSE loans.cycle_minutes END AS cycle_minutes,
    CASE WHEN loans.state_seen_on > parameters.as_of THEN NULL ELSE loans.pump_state END AS pump_state,
    CASE WHEN loans.state_seen_on > parameters.as_of THEN NULL ELSE loans.setting END AS setting,
    CASE WHEN loans.state_seen_on > parameters.as_of THEN NULL ELSE loans.setting_kind END AS setting_kind,
    CASE WHEN loans.state_seen_on > parameters.as_of THEN NULL ELSE loans.leak_seen END AS leak_seen,
    CASE WHEN loans.state_seen_on > parameters.as_of THEN NULL ELSE loans.power_leads_safe END AS power_leads_safe,
    CASE WHEN loans.state_seen_on > parameters.as_of THEN NULL ELSE loans.fitted_correctly END AS fitted_correctly,
    CASE WHEN loans.cover_opened_on <= parameters.as_of THEN loans.cover_opened_on END AS cover_opened_on,
    CASE WHEN loans.bottoming_checked_on > parameters.as_of THEN NULL ELSE loans.bottoming_check END AS bottoming_check,
    CASE WHEN loans.bottoming_checked_on > parameters.as_of THEN NULL ELSE loans.bottoming_method END AS bottoming_method,
    CASE WHEN loans.bottoming_checked_on <= parameters.as_of THEN loans.bottoming_checked_on END AS bottoming_checked_on,
    CASE WHEN loans.trial_started_on <= parameters.as_of THEN loans.trial_started_on END AS trial_started_on,
    CASE WHEN loans.trial_reviewed_on <= parameters.as_of THEN loans.trial_reviewed_on END AS trial_reviewed_on,
    CASE WHEN loans.trial_reviewed_on > parameters.as_of THEN NULL ELSE loans.trial_outcome END AS trial_outcome,
    CASE WHEN loans.reviewed_on <= parameters.as_of THEN loans.reviewed_on END AS reviewed_on,
    CASE WHEN loans.skin_checked_on <= parameters.as_of THEN loans.skin_checked_on END AS skin_checked_on,
    loans.justification_recorded,
    CASE
        WHEN CAST(COALESCE(loans.updated_at, receipts.received_local) AS DATE) <= parameters.as_of
            THEN COALESCE(loans.updated_at, receipts.received_local)
    END AS updated_at,
    loans.record_status,
    receipts.source
FROM store.loans
INNER JOIN records.receipts ON receipts.file_key = loans.file_key AND receipts.feed = 'loans'
CROSS JOIN review.parameters
LEFT JOIN records.set_aside
    ON set_aside.receipt_number = receipts.receipt_number AND set_aside.source_row = loans.source_row
LEFT JOIN records.merged_clients ON merged_clients.old_client_id = loans.client_id
LEFT JOIN records.shared_ids ON shared_ids.feed = 'loans' AND shared_ids.record_id = loans.loan_id
LEFT JOIN shared_placements
    ON shared_placements.record_id = loans.placement_id
    AND shared_placements.client_id = COALESCE(merged_clients.client_id, loans.client_id)
WHERE receipts.standing = 'live' AND set_aside.source_row IS NULL
    AND (
        COALESCE(loans.need_identified_on, loans.requested_on) IS NULL
        OR loans.need_identified_on <= parameters.as_of
        OR loans.requested_on <= parameters.as_of
        OR loans.issued_on <= parameters.as_of
        OR loans.returned_on <= parameters.as_of
    )
