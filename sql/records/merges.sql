-- question: Which pseudonyms were found to be one person?
-- grain:    one row per source and merged pseudonym
-- key:      source, old_client_id
-- inputs:   records.versions, records.receipts, store.merges, review.parameters
-- beware:   these have been applied already: no other relation holds an old pseudonym
-- columns:
--   old_client_id  id                         this pseudonym was the same person
--   client_id      id                         the person, after merges
--   merged_on      date                       day the two were found to be one
--   updated_at     timestamp                  when the source last changed the record; the receive time where blank
--   record_status  code merges.record_status  FHIR words; blank = final
--   source         text                       who sent it
SELECT
    versions.record_id AS old_client_id,
    versions.client_id,
    merges.merged_on,
    CASE WHEN CAST(versions.updated_at AS DATE) <= parameters.as_of THEN versions.updated_at END AS updated_at,
    merges.record_status,
    versions.source
FROM records.versions
INNER JOIN records.receipts ON receipts.receipt_number = versions.receipt_number
INNER JOIN store.merges ON merges.file_key = receipts.file_key AND merges.source_row = versions.source_row
CROSS JOIN review.parameters
WHERE versions.feed = 'merges' AND versions.version_status = 'current'
    AND merges.merged_on <= parameters.as_of
