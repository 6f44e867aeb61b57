-- question: Which surfaces are still out with somebody who has left the caseload, and since when?
-- grain:    one row per loan in place of a person whose stays have all ended longer ago than policy allows
-- key:      loan_id
-- inputs:   state.loans_in_place, records.loans, records.placements, state.caseload, policy.parameters, review.parameters
-- beware:   these people are on no other list and counted nowhere; what is their own, or belongs to a stay, is not to be collected
-- stored:   view
-- columns:
--   loan_id          id                          the surface
--   device_id        id                          the device, where the source knows it
--   surface_class    code loans.surface_class    its class; blank when not recorded
--   position         code loans.position         lying or sitting
--   owner            code loans.owner            whose it is; blank when not recorded
--   client_id        id                          who had it
--   team             text                        the team of their last stay
--   clinician        text                        the clinician of their last stay
--   left_on          date                        last day of that stay
--   end_reason       code placements.end_reason  why it ended; blank when not recorded
--   days_since_left  integer                     days since then
WITH last_stays AS (
    SELECT
        placements.client_id,
        placements.team,
        placements.clinician,
        CAST(placements.ended_at AS DATE) AS left_on,
        placements.end_reason,
        ROW_NUMBER() OVER (
            PARTITION BY placements.client_id ORDER BY placements.ended_at DESC, placements.placement_id DESC
        ) AS newest
    FROM records.placements AS placements
),
limits AS (
    SELECT MIN(parameters.amount) AS days FROM policy.parameters AS parameters WHERE parameters.name = 'collect_days'
)
SELECT
    loans.loan_id,
    kept.device_id,
    loans.surface_class,
    loans.position,
    kept.owner,
    loans.client_id,
    last_stays.team,
    last_stays.clinician,
    last_stays.left_on,
    last_stays.end_reason,
    CAST(date_diff('day', last_stays.left_on, parameters.as_of) AS INTEGER) AS days_since_left
FROM state.loans_in_place AS loans
INNER JOIN records.loans AS kept ON kept.loan_id = loans.loan_id
CROSS JOIN review.parameters AS parameters
CROSS JOIN limits
INNER JOIN last_stays
    ON last_stays.client_id = loans.client_id
    AND last_stays.newest = 1
    AND date_diff('day', last_stays.left_on, parameters.as_of) > limits.days
LEFT JOIN state.caseload AS caseload ON caseload.client_id = loans.client_id
WHERE caseload.client_id IS NULL
    -- A ward or a home keeps its own surfaces; one that it lent to somebody's house has no stay to belong to.
    AND (
        kept.owner IS NULL
        OR kept.owner IN ('loan_service', 'hire')
        OR (kept.owner IN ('hospital', 'care_home') AND kept.placement_id IS NULL)
    )
ORDER BY loans.loan_id
