-- question: What is known of each open pressure injury on the as-of day?
-- grain:    one row per open pressure injury of a person on the caseload
-- key:      client_id, injury_id
-- inputs:   wounds.open, state.clients, review.parameters
-- beware:   only open ones of people on the caseload; a cause not settled is kept, another cause than pressure is not
-- columns:
--   injury_id                    id                                                       the injury
--   client_id                    id                                                       the person
--   location                     code injuries.location                                   where; blank when not recorded
--   side                         code injuries.side                                       left, right, midline
--   stage                        code injuries.stage                                      at the newest look; blank when not staged
--   effective_stage              code injuries.stage                                      never falls in number while open; blank when not staged
--   cause                        code injuries.cause                                      blank counts as pressure
--   device_related               boolean                                                  under a device
--   present_on_admission         code yes|no                                              blank when unknown
--   first_seen_on                date                                                     first look
--   last_seen_on                 date                                                     newest look
--   last_measured_on             date                                                     newest look with length and width
--   days_since_first_seen        integer                                                  days
--   days_since_seen              integer                                                  days
--   days_since_measured          integer                                                  days; blank when never measured
--   area_cm2                     number                                                   cm2, length times width, at the newest measured look
--   signs_of_infection           boolean                                                  at the newest look that says
--   injury_rung                  integer                                                  1 stage 1-2, 3 deeper; blank when not staged
--   is_full_thickness            boolean                                                  full thickness
--   deep_since_on                date                                                     first look that found it full thickness or deep, since it opened
--   days_since_deep              integer                                                  days since then
--   trend                        code better|stalled|stalled_long|worse|too_early|exempt  how it heals by the newest look; blank where that cannot be told
--   loads_lying                  boolean                                                  lying loads it
--   loads_sitting                boolean                                                  sitting loads it
--   is_trunk_or_pelvis           boolean                                                  on trunk or pelvis
--   needs_offloading             boolean                                                  must be kept clear of every surface
--   is_device_need               boolean                                                  the device, not the mattress, must change
--   turning_surface              code back|left|right                                     the turning surface that carries it
--   surface_reviewed_on          date                                                     newest clinician's review of any surface of this person
--   days_since_surface_reviewed  integer                                                  days since then
--   care_setting                 code placements.care_setting                             of the person
--   team                         text                                                     of the person
--   clinician                    text                                                     of the person
--   is_adult                     boolean                                                  of the person
--   risk_rung                    integer                                                  of the person
--   risk_level                   code low|at_risk|high|very_high                          of the person
--   lying_class                  code loans.surface_class                                 weakest lying surface in use
--   sitting_class                code loans.surface_class                                 weakest sitting surface in use
--   has_lying_surface            boolean                                                  a lying surface is in place
--   has_sitting_surface          boolean                                                  a sitting surface is in place
--   lying_issued_on              date                                                     newest day on which a lying surface in place here was issued
--   sitting_issued_on            date                                                     likewise of sitting surfaces
--   spinal_cord_injury           boolean                                                  of the person
--   comfort_first                boolean                                                  of the person
--   form_on                      date                                                     of the person
--   heel_offloading              code circumstances.heel_offloading                       of the person
--   has_held_row                 boolean                                                  a row of this person is held back
SELECT
    injuries.injury_id,
    injuries.client_id,
    CASE WHEN injuries.location <> 'not_recorded' THEN injuries.location END AS location,
    injuries.side,
    CASE WHEN injuries.stage <> 'not_staged' THEN injuries.stage END AS stage,
    CASE WHEN injuries.effective_stage <> 'not_staged' THEN injuries.effective_stage END AS effective_stage,
    injuries.cause,
    injuries.device_related,
    CASE WHEN injuries.present_on_admission <> 'unknown' THEN injuries.present_on_admission END AS present_on_admission,
    injuries.first_seen_on,
    injuries.last_seen_on,
    injuries.last_measured_on,
    CAST(date_diff('day', injuries.first_seen_on, parameters.as_of) AS INTEGER) AS days_since_first_seen,
    CAST(date_diff('day', injuries.last_seen_on, parameters.as_of) AS INTEGER) AS days_since_seen,
    CAST(date_diff('day', injuries.last_measured_on, parameters.as_of) AS INTEGER) AS days_since_measured,
    injuries.area_cm2,
    injuries.signs_of_infection,
    injuries.injury_rung,
    injuries.is_full_thickness,
    injuries.deep_since_on,
    CAST(date_diff('day', injuries.deep_since_on, parameters.as_of) AS INTEGER) AS days_since_deep,
    injuries.trend,
    injuries.loads_lying,
    injuries.loads_sitting,
    injuries.is_trunk_or_pelvis,
    injuries.needs_offloading,
    injuries.is_device_need,
    injuries.turning_surface,
    clients.surface_reviewed_on,
    CAST(date_diff('day', clients.surface_reviewed_on, parameters.as_of) AS INTEGER) AS days_since_surface_reviewed,
    clients.care_setting,
    clients.team,
    clients.clinician,
    clients.is_adult,
    clients.risk_rung,
    clients.risk_level,
    clients.lying_class,
    clients.sitting_class,
    clients.has_lying_surface,
    clients.has_sitting_surface,
    clients.lying_issued_on,
    clients.sitting_issued_on,
    clients.spinal_cord_injury,
    clients.comfort_first,
    clients.form_on,
    clients.heel_offloading,
    clients.has_held_row
FROM wounds.open AS injuries
INNER JOIN state.clients AS clients ON clients.client_id = injuries.client_id
CROSS JOIN review.parameters AS parameters
WHERE COALESCE(injuries.is_pressure, TRUE)
