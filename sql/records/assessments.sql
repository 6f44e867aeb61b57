-- question: Which assessments stand?
-- grain:    one row per assessment_id
-- key:      assessment_id
-- inputs:   records.receipts, records.set_aside, records.merged_clients, records.shared_ids, store.assessments, review.parameters
-- beware:   rows whose event lies after the as-of day are left out, and later dates read as blank
-- columns:
--   assessment_id         id                                one scoring of one scale
--   client_id             id                                the person, after merges
--   assessed_at           timestamp                         when it was scored
--   assessed_at_has_time  boolean                           assessed_at is an instant, not a day alone
--   scale                 text                              id of a scale in the policy
--   items                 text                              the items that were scored, each with its score, by item name: activity 2; mobility 3
--   recorded_total        number                            the total that the source states
--   recorded_band         text                              the band that the source states
--   clinician_level       code assessments.clinician_level  clinical judgement; may raise need, never lower it
--   assessor              text                              pseudonymous code; two assessors on one day make a reliability pair
--   assessor_role         code assessments.assessor_role    profession of the assessor
--   updated_at            timestamp                         when the source last changed the record; the receive time where blank
--   record_status         code assessments.record_status    FHIR words; blank = final
--   source                text                              who sent it
SELECT
    CASE
        WHEN shared_ids.record_id IS NULL THEN assessments.assessment_id
        ELSE assessments.assessment_id || '@' || receipts.source
    END AS assessment_id,
    COALESCE(merged_clients.client_id, assessments.client_id) AS client_id,
    assessments.assessed_at,
    assessments.assessed_at_has_time,
    assessments.scale,
    assessments.items,
    assessments.recorded_total,
    assessments.recorded_band,
    assessments.clinician_level,
    assessments.assessor,
    assessments.assessor_role,
    CASE
        WHEN CAST(COALESCE(assessments.updated_at, receipts.received_local) AS DATE) <= parameters.as_of
            THEN COALESCE(assessments.updated_at, receipts.received_local)
    END AS updated_at,
    assessments.record_status,
    receipts.source
FROM store.assessments
INNER JOIN records.receipts ON receipts.file_key = assessments.file_key AND receipts.feed = 'assessments'
CROSS JOIN review.parameters
LEFT JOIN records.set_aside
    ON set_aside.receipt_number = receipts.receipt_number AND set_aside.source_row = assessments.source_row
LEFT JOIN records.merged_clients ON merged_clients.old_client_id = assessments.client_id
LEFT JOIN records.shared_ids ON shared_ids.feed = 'assessments' AND shared_ids.record_id = assessments.assessment_id
WHERE receipts.standing = 'live' AND set_aside.source_row IS NULL
    AND CAST(assessments.assessed_at AS DATE) <= parameters.as_of
