-- question: Which looks at wounds stand?
-- grain:    one row per injury_observation_id
-- key:      injury_observation_id
-- inputs:   records.receipts, records.set_aside, records.merged_clients, records.shared_ids, store.injuries, review.parameters
-- beware:   an id that names wounds of two people or two sources is told apart by @source or @client_id
-- columns:
--   injury_observation_id  id                                  one look at one wound
--   injury_id              id                                  the wound
--   client_id              id                                  the person, after merges
--   observed_at            timestamp                           when somebody looked
--   observed_at_has_time   boolean                             observed_at is an instant, not a day alone
--   location               code injuries.location              where on the body
--   side                   code injuries.side                  which side
--   stage                  code injuries.stage                 NPIAP 2016; mucosal is a kind, not a stage
--   icd10_code             text                                ICD-10-CM L89 code; fills location, side and stage before the check for missing
--   cause                  code injuries.cause                 blank = pressure
--   present_on_admission   code injuries.present_on_admission  was there when the stay began
--   first_noticed_on       date                                day it was first noticed
--   device_related         boolean                             caused by a device
--   device_kind            text                                the device
--   length_cm              number                              cm, head to toe
--   width_cm               number                              cm
--   depth_cm               number                              cm
--   undermining_cm         number                              cm
--   exudate                code injuries.exudate               amount of exudate
--   tissue                 code injuries.tissue                worst tissue in the wound bed
--   recorded_push_total    integer                             the PUSH total that the source states
--   large                  boolean                             clinician's word; no published number
--   signs_of_infection     boolean                             signs of infection were seen
--   debrided_on            date                                day of debridement
--   status                 code injuries.status                blank = open
--   updated_at             timestamp                           when the source last changed the record; the receive time where blank
--   record_status          code injuries.record_status         FHIR words; blank = final
--   source                 text                                who sent it
WITH standing AS (
    SELECT
        injuries.injury_observation_id,
        injuries.injury_id,
        COALESCE(merged_clients.client_id, injuries.client_id) AS person_id,
        injuries.observed_at,
        injuries.observed_at_has_time,
        injuries.location,
        injuries.side,
        injuries.stage,
        injuries.icd10_code,
        injuries.cause,
        injuries.present_on_admission,
        injuries.first_noticed_on,
        injuries.device_related,
        injuries.device_kind,
        injuries.length_cm,
        injuries.width_cm,
        injuries.depth_cm,
        injuries.undermining_cm,
        injuries.exudate,
        injuries.tissue,
        injuries.recorded_push_total,
        injuries.large,
        injuries.signs_of_infection,
        injuries.debrided_on,
        injuries.status,
        injuries.record_status,
        COALESCE(injuries.updated_at, receipts.received_local) AS changed_at,
        receipts.source
    FROM store.injuries
    INNER JOIN records.receipts ON receipts.file_key = injuries.file_key AND receipts.feed = 'injuries'
    LEFT JOIN records.set_aside
        ON set_aside.receipt_number = receipts.receipt_number AND set_aside.source_row = injuries.source_row
    LEFT JOIN records.merged_clients ON merged_clients.old_client_id = injuries.client_id
    WHERE receipts.standing = 'live' AND set_aside.source_row IS NULL
),
named AS (
    SELECT injury_id, COUNT(DISTINCT source) AS sources, COUNT(DISTINCT person_id) AS people
    FROM standing
    GROUP BY injury_id
)
SELECT
    CASE
        WHEN shared_ids.record_id IS NULL THEN injuries.injury_observation_id
        ELSE injuries.injury_observation_id || '@' || injuries.source
    END AS injury_observation_id,
    injuries.injury_id
        || CASE WHEN named.sources > 1 THEN '@' || injuries.source ELSE '' END
        || CASE WHEN named.people > 1 THEN '@' || injuries.person_id ELSE '' END AS injury_id,
    injuries.person_id AS client_id,
    injuries.observed_at,
    injuries.observed_at_has_time,
    injuries.location,
    injuries.side,
    injuries.stage,
    injuries.icd10_code,
    injuries.cause,
    injuries.present_on_admission,
    CASE WHEN injuries.first_noticed_on <= parameters.as_of THEN injuries.first_noticed_on END AS first_noticed_on,
    injuries.device_related,
    injuries.device_kind,
    injuries.length_cm,
    injuries.width_cm,
    injuries.depth_cm,
    injuries.undermining_cm,
    injuries.exudate,
    injuries.tissue,
    injuries.recorded_push_total,
    injuries.large,
    injuries.signs_of_infection,
    CASE WHEN injuries.debrided_on <= parameters.as_of THEN injuries.debrided_on END AS debrided_on,
    injuries.status,
    CASE WHEN CAST(injuries.changed_at AS DATE) <= parameters.as_of THEN injuries.changed_at END AS updated_at,
    injuries.record_status,
    injuries.source
FROM standing AS injuries
INNER JOIN named ON named.injury_id = injuries.injury_id
CROSS JOIN review.parameters
LEFT JOIN records.shared_ids
    ON shared_ids.feed = 'injuries' AND shared_ids.record_id = injuries.injury_observation_id
WHERE CAST(injuries.observed_at AS DATE) <= parameters.as_of
