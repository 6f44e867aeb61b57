-- question: What has each person declined, by the newest form that speaks of it?
-- grain:    one row per person of whom a decline is recorded
-- key:      client_id
-- inputs:   records.circumstances
-- columns:
--   client_id               id                                 the person
--   declined_what           codes circumstances.declined_what  what was declined, by the newest form that says so
--   declined_on             date                               on that form
--   decline_recorded_fully  boolean                            capacity, reason, alternatives and the risk told are recorded
--   decline_review_on       date                               day to offer again
WITH ranked AS (
    SELECT
        forms.client_id,
        forms.declined_what,
        forms.declined_on,
        forms.decline_recorded_fully,
        forms.decline_review_on,
        ROW_NUMBER() OVER (
            PARTITION BY forms.client_id
            ORDER BY forms.observed_on DESC, forms.circumstances_id DESC
        ) AS place
    FROM records.circumstances AS forms
    WHERE forms.declined_what IS NOT NULL
)
SELECT
    ranked.client_id,
    ranked.declined_what,
    ranked.declined_on,
    ranked.decline_recorded_fully,
    ranked.decline_review_on
FROM ranked
WHERE ranked.place = 1
ORDER BY ranked.client_id
