-- question: Who waits for which surface, and since when?
-- grain:    one row per surface that is asked for or ordered, and neither issued nor returned, of a person on the caseload
-- key:      loan_id
-- inputs:   records.loans, state.clients, review.parameters
-- beware:   these waits are open, so a typical wait must not be read from them; without any day the wait is not dated, and not short
-- columns:
--   loan_id                            id                   the surface asked for
--   client_id                          id                   the person
--   team                               text                 the person's team
--   clinician                          text                 the person's clinician
--   position                           code loans.position  lying or sitting
--   surface_class                      code loans.surface_class  what was asked for
--   owner                              code loans.owner     who is to provide it
--   loan_status                        code requested|ordered  how far it has come
--   need_identified_on                 date                 day the need was seen
--   requested_on                       date                 day it was asked for
--   waiting_since_on                   date                 the day asked for, else the day the need was seen
--   days_waiting                       integer              days since then
--   has_open_injury                    boolean              of the person
--   full_thickness_on_trunk_or_pelvis  boolean              of the person
SELECT
    loans.loan_id,
    loans.client_id,
    clients.team,
    clients.clinician,
    loans.position,
    loans.surface_class,
    loans.owner,
    COALESCE(loans.loan_status, 'requested') AS loan_status,
    loans.need_identified_on,
    loans.requested_on,
    COALESCE(loans.requested_on, loans.need_identified_on) AS waiting_since_on,
    CAST(date_diff('day', COALESCE(loans.requested_on, loans.need_identified_on), parameters.as_of) AS INTEGER)
        AS days_waiting,
    clients.has_open_injury,
    clients.full_thickness_on_trunk_or_pelvis
FROM records.loans AS loans
INNER JOIN state.clients AS clients ON clients.client_id = loans.client_id
CROSS JOIN review.parameters AS parameters
WHERE loans.issued_on IS NULL
    AND loans.returned_on IS NULL
    AND COALESCE(loans.loan_status, 'requested') IN ('requested', 'ordered')
ORDER BY loans.loan_id
