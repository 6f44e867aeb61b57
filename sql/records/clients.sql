-- question: Who are the people, as last recorded?
-- grain:    one row per client_id
-- key:      client_id
-- inputs:   records.receipts, records.set_aside, records.merged_clients, store.clients, review.parameters
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
        COALESCE(merged_clients.client_id, clients.client_id) AS client_id,
        clients.sex AS sex,
        clients.age_years AS age_years,
        clients.age_months AS age_months,
        CASE
            WHEN CAST(COALESCE(clients.updated_at, receipts.received_local) AS DATE) <= parameters.as_of
                THEN COALESCE(clients.updated_at, receipts.received_local)
        END AS updated_at,
        clients.record_status AS record_status,
        receipts.source AS source,
        ROW_NUMBER() OVER (
            PARTITION BY COALESCE(merged_clients.client_id, clients.client_id)
            ORDER BY COALESCE(clients.updated_at, receipts.received_local) DESC, receipts.received_at DESC,
                receipts.source, clients.client_id
        ) AS place
    FROM store.clients
    INNER JOIN records.receipts ON receipts.file_key = clients.file_key AND receipts.feed = 'clients'
    CROSS JOIN review.parameters
    LEFT JOIN records.set_aside
        ON set_aside.receipt_number = receipts.receipt_number AND set_aside.source_row = clients.source_row
    LEFT JOIN records.merged_clients ON merged_clients.old_client_id = clients.client_id
    WHERE receipts.standing = 'live' AND set_aside.source_row IS NULL
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
