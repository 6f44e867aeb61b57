-- question: Who is on the caseload on the as-of day?
-- grain:    one row per person on the caseload
-- key:      client_id
-- inputs:   records.clients, records.receipts, records.set_aside, records.merged_clients, store.placements, state.placements, policy.parameters
-- beware:   a person without any placement is on it; one whose placements have all ended, or not begun, is not
-- columns:
--   client_id  id                      the person
--   sex        code female|male|other  blank when not known
--   age_years  integer                 years; 90 stands for 90 or more
--   is_adult   boolean                 as old as policy calls adult
--   is_placed  boolean                 a placement is in force
-- Placements that begin after the as-of day are invisible in records, yet a person who is booked for next week is not
-- somebody whom the placements export forgot: so the store is asked, whatever the day.
WITH ever_placed AS (
    SELECT DISTINCT COALESCE(merged_clients.client_id, placements.client_id) AS client_id
    FROM store.placements
    INNER JOIN records.receipts ON receipts.file_key = placements.file_key AND receipts.feed = 'placements'
    LEFT JOIN records.set_aside
        ON set_aside.receipt_number = receipts.receipt_number AND set_aside.source_row = placements.source_row
    LEFT JOIN records.merged_clients ON merged_clients.old_client_id = placements.client_id
    WHERE receipts.standing = 'live' AND set_aside.source_row IS NULL
),
placed_now AS (
    SELECT DISTINCT placements.client_id FROM state.placements AS placements
),
adults AS (
    SELECT MIN(limits.amount) AS from_years FROM policy.parameters AS limits WHERE limits.name = 'adult_age_years'
)
SELECT
    clients.client_id,
    CASE WHEN clients.sex <> 'unknown' THEN clients.sex END AS sex,
    clients.age_years,
    -- Months are recorded for the under-fives only, so they alone say that somebody is a child.
    CASE
        WHEN clients.age_years IS NOT NULL THEN clients.age_years >= adults.from_years
        WHEN clients.age_months IS NOT NULL THEN FALSE
    END AS is_adult,
    placed_now.client_id IS NOT NULL AS is_placed
FROM records.clients AS clients
CROSS JOIN adults
LEFT JOIN ever_placed ON ever_placed.client_id = clients.client_id
LEFT JOIN placed_now ON placed_now.client_id = clients.client_id
WHERE placed_now.client_id IS NOT NULL OR ever_placed.client_id IS NULL
