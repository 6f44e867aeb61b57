-- question: Which stays or periods with a team stand?
-- grain:    one row per placement_id
-- key:      placement_id
-- inputs:   records.receipts, records.set_aside, records.merged_clients, records.shared_ids, store.placements, review.parameters
-- beware:   rows whose event lies after the as-of day are left out, and later dates read as blank
-- columns:
--   placement_id               id                                a stay or period with a team
--   client_id                  id                                the person, after merges
--   care_setting               code placements.care_setting      kind of place
--   site                       text                              code of the place; same site = no move
--   team                       text                              the team that looks after the stay
--   clinician                  text                              pseudonymous code
--   referred_on                date                              day of referral
--   referral_urgency           code placements.referral_urgency  how soon the referrer asked for contact
--   first_contact_at           timestamp                         first registered professional contact
--   first_contact_at_has_time  boolean                           first_contact_at is an instant, not a day alone
--   started_at                 timestamp                         start of the stay
--   started_at_has_time        boolean                           started_at is an instant, not a day alone
--   planned_end_on             date                              day the stay is planned to end
--   going_to                   code placements.going_to          where the person goes next
--   ended_at                   timestamp                         blank = still here
--   ended_at_has_time          boolean                           ended_at is an instant, not a day alone
--   end_reason                 code placements.end_reason        why the stay ended
--   updated_at                 timestamp                         when the source last changed the record; the receive time where blank
--   record_status              code placements.record_status     FHIR words; blank = final
--   source                     text                              who sent it
SELECT
    CASE
        WHEN shared_ids.record_id IS NULL THEN placements.placement_id
        ELSE placements.placement_id || '@' || receipts.source
    END AS placement_id,
    COALESCE(merged_clients.client_id, placements.client_id) AS client_id,
    placements.care_setting,
    placements.site,
    placements.team,
    placements.clinician,
    CASE WHEN placements.referred_on <= parameters.as_of THEN placements.referred_on END AS referred_on,
    placements.referral_urgency,
    CASE WHEN CAST(placements.first_contact_at AS DATE) <= parameters.as_of THEN placements.first_contact_at END AS first_contact_at,
    CASE WHEN CAST(placements.first_contact_at AS DATE) <= parameters.as_of THEN placements.first_contact_at_has_time END AS first_contact_at_has_time,
    placements.started_at,
    placements.started_at_has_time,
    placements.planned_end_on,
    placements.going_to,
    CASE WHEN CAST(placements.ended_at AS DATE) <= parameters.as_of THEN placements.ended_at END AS ended_at,
    CASE WHEN CAST(placements.ended_at AS DATE) <= parameters.as_of THEN placements.ended_at_has_time END AS ended_at_has_time,
    CASE WHEN CAST(placements.ended_at AS DATE) > parameters.as_of THEN NULL ELSE placements.end_reason END AS end_reason,
    CASE
        WHEN CAST(COALESCE(placements.updated_at, receipts.received_local) AS DATE) <= parameters.as_of
            THEN COALESCE(placements.updated_at, receipts.received_local)
    END AS updated_at,
    placements.record_status,
    receipts.source
FROM store.placements
INNER JOIN records.receipts ON receipts.file_key = placements.file_key AND receipts.feed = 'placements'
CROSS JOIN review.parameters
LEFT JOIN records.set_aside
    ON set_aside.receipt_number = receipts.receipt_number AND set_aside.source_row = placements.source_row
LEFT JOIN records.merged_clients ON merged_clients.old_client_id = placements.client_id
LEFT JOIN records.shared_ids ON shared_ids.feed = 'placements' AND shared_ids.record_id = placements.placement_id
WHERE receipts.standing = 'live' AND set_aside.source_row IS NULL
    AND CAST(placements.started_at AS DATE) <= parameters.as_of
