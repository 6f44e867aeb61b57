-- question: Which assessments stand?
-- grain:    one row per assessment_id
-- key:      assessment_id
-- inputs:   records.versions, records.receipts, store.assessments, review.parameters
-- beware:   rows whose event lies after the as-of day are left out, and later dates read as blank
-- columns:
--   assessment_id         id                                one scoring of one scale
--   client_id             id                                the person, after merges
--   assessed_at           timestamp                         when it was scored
--   assessed_at_has_time  boolean                           assessed_at is an instant, not a day alone
--   scale                 text                              id of a scale in the policy
--   items                 list                              the items that were scored, each with its score, by item name
--   recorded_total        number                            the total that the source states
--   recorded_band         text                              the band that the source states
--   clinician_level       code assessments.clinician_level  clinical judgement; may raise need, never lower it
--   assessor              text                              pseudonymous code; two assessors on one day make a reliability pair
--   assessor_role         code assessments.assessor_role    profession of the assessor
--   updated_at            timestamp                         when the source last changed the record; the receive time where blank
--   record_status         code assessments.record_status    FHIR words; blank = final
--   source                text                              who sent it
SELECT
    versions.public_id AS assessment_id,
    versions.client_id,
    assessments.assessed_at,
    assessments.assessed_at_has_time,
    assessments.scale,
    assessments.items,
    assessments.recorded_total,
    assessments.recorded_band,
    assessments.clinician_level,
    assessments.assessor,
    assessments.assessor_role,
    CASE WHEN CAST(versions.updated_at AS DATE) <= parameters.as_of THEN versions.updated_at END AS updated_at,
    assessments.record_status,
    versions.source
FROM records.versions
INNER JOIN records.receipts ON receipts.receipt_number = versions.receipt_number
INNER JOIN store.assessments ON assessments.file_key = receipts.file_key AND assessments.source_row = versions.source_row
CROSS JOIN review.parameters
WHERE versions.feed = 'assessments' AND versions.version_status = 'current'
    AND CAST(assessments.assessed_at AS DATE) <= parameters.as_of
