-- question: Who are the people, as last recorded?
-- grain:    one row per client_id
-- key:      client_id
-- inputs:   records.versions, records.receipts, store.clients, review.parameters
-- beware:   a person whom several sources describe has one row: the newest
-- columns:
--   client_id      id                          the person, after merges
--   sex            code clients.sex            FHIR administrative gender
--   age_years      integer                     age at updated_at; 90 stands for 90 or more
--   age_months     integer                     age at updated_at, under five only
--   updated_at     timestamp                   when the source last changed the record; the receive time where blank
--   record_status  code clients.record_status  FHIR words; blank = final
--   source         text                        who sent it
WITH described AS (
    SELECT
        versions.client_id AS client_id,
        clients.sex AS sex,
        clients.age_years AS age_years,
        clients.age_months AS age_months,
        CASE WHEN CAST(versions.updated_at AS DATE) <= parameters.as_of THEN versions.updated_at END AS updated_at,
        clients.record_status AS record_status,
        versions.source AS source,
        ROW_NUMBER() OVER (
            PARTITION BY versions.client_id
            ORDER BY versions.updated_at DESC, versions.received_at DESC, versions.source, versions.record_id
        ) AS place
    FROM records.versions
    INNER JOIN records.receipts ON receipts.receipt_number = versions.receipt_number
    INNER JOIN store.clients ON clients.file_key = receipts.file_key AND clients.source_row = versions.source_row
    CROSS JOIN review.parameters
    WHERE versions.feed = 'clients' AND versions.version_status = 'current'
)
SELECT
    client_id,
    sex,
    age_years,
    age_months,
    updated_at,
    record_status,
    source
FROM described
WHERE place = 1
