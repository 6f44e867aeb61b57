-- question: Which pseudonyms were found to be one person?
-- grain:    one row per source and merged pseudonym
-- key:      source, old_client_id
-- inputs:   records.receipts, records.set_aside, store.merges, review.parameters
-- beware:   these have been applied already: no other relation holds an old pseudonym
-- columns:
--   old_client_id  id                         this pseudonym was the same person
--   client_id      id                         the person, after merges
--   merged_on      date                       day the two were found to be one
--   updated_at     timestamp                  when the source last changed the record; the receive time where blank
--   record_status  code merges.record_status  FHIR words; blank = final
--   source         text                       who sent it
SELECT
    merges.old_client_id,
    merges.client_id,
    merges.merged_on,
    CASE
        WHEN CAST(COALESCE(merges.updated_at, receipts.received_local) AS DATE) <= parameters.as_of
            THEN COALESCE(merges.updated_at, receipts.received_local)
    END AS updated_at,
    merges.record_status,
    receipts.source
FROM store.merges
INNER JOIN records.receipts ON receipts.file_key = merges.file_key AND receipts.feed = 'merges'
CROSS JOIN review.parameters
LEFT JOIN records.set_aside
    ON set_aside.receipt_number = receipts.receipt_number AND set_aside.source_row = merges.source_row
WHERE receipts.standing = 'live' AND set_aside.source_row IS NULL
    AND merges.merged_on <= parameters.as_of
