-- question: What is known of each surface that is out with somebody on the as-of day?
-- grain:    one row per loan in place with a person on the caseload
-- key:      client_id, loan_id
-- inputs:   state.loans_in_place, records.loans, state.clients, policy.surface_classes, policy.parameters, review.parameters
-- beware:   what was seen longer ago than the shelf life reads as blank; a surface of another place than the person's is listed and
--           protects nobody
-- columns:
--   loan_id                            id                               the loan
--   client_id                          id                               the person
--   device_id                          id                               the device
--   position                           code loans.position              lying or sitting
--   surface_class                      code loans.surface_class         blank when not recorded
--   owner                              code loans.owner                 whose it is
--   is_where_person_is                 boolean                          it is where the person is now; blank when that cannot be told
--   is_overlay                         boolean                          lies on another surface
--   has_base_below                     boolean                          is an overlay, and another lying surface of a class better than ordinary is in place with the person
--   is_active                          boolean                          the class moves its cells
--   is_pump_fed                        boolean                          the class is kept up by a pump
--   is_powered                         boolean                          the class needs power
--   risk_level_max                     integer                          highest risk rung the class carries
--   injury_stage_max                   integer                          highest injury rung the class carries
--   max_user_kg                        number                           kg, of the item
--   min_user_kg                        number                           kg, of the item
--   width_cm                           number                           cm, of the item
--   requested_on                       date                             asked for
--   issued_on                          date                             issued
--   is_step_up                         boolean                          its class carries more than that of the surface issued before it for this position; false where there was none
--   days_since_issued                  integer                          days
--   made_on                            date                             made
--   days_since_made                    integer                          days
--   inspected_on                       date                             inspected
--   days_since_inspected               integer                          days
--   serviced_on                        date                             serviced
--   days_since_service                 integer                          days; blank when no service is recorded
--   service_due_on                     date                             last day of the time that policy allows after a service
--   electrical_test_on                 date                             tested
--   days_since_electrical_test         integer                          days
--   state_seen_on                      date                             day the state columns below were seen
--   days_since_state_seen              integer                          days since then
--   state_is_too_old                   boolean                          seen longer ago than the shelf life
--   in_use                             boolean                          in use when seen
--   cover_condition                    code loans.cover_condition       when seen
--   mode                               code loans.mode                  when seen
--   mode_hours                         number                           h in this mode when seen
--   cycle_minutes                      number                           min when seen
--   pump_state                         code loans.pump_state            when seen
--   setting                            number                           when seen, in setting_kind
--   setting_kind                       code loans.setting_kind          when seen
--   leak_seen                          boolean                          when seen
--   power_leads_safe                   boolean                          when seen
--   fitted_correctly                   boolean                          when seen
--   cover_opened_on                    date                             cover unzipped and core inspected
--   days_since_cover_opened            integer                          days
--   bottoming_check                    code loans.bottoming_check       pass or fail
--   bottoming_method                   code loans.bottoming_method      hand or maker
--   bottoming_checked_on               date                             day of that check
--   days_since_bottoming_check         integer                          days
--   has_trial                          boolean                          a trial is recorded; never blank
--   trial_started_on                   date                             trial began
--   days_since_trial_started           integer                          days
--   trial_reviewed_on                  date                             trial reviewed
--   trial_outcome                      code loans.trial_outcome         keep, change or stop
--   reviewed_on                        date                             reviewed by a clinician
--   days_since_reviewed                integer                          days
--   skin_checked_on                    date                             first skin check after issue
--   justification_recorded             boolean                          a justification is recorded
--   care_setting                       code placements.care_setting     of the person
--   team                               text                             of the person
--   clinician                          text                             of the person
--   is_adult                           boolean                          of the person
--   risk_rung                          integer                          of the person
--   risk_level                         code low|at_risk|high|very_high  of the person
--   need_rung                          integer                          need of this position, after everything that raises it
--   injury_rung                        integer                          injury rung that this position must carry
--   has_open_injury_lying              boolean                          one that lying loads
--   has_open_injury_sitting            boolean                          one that sitting loads
--   has_open_injury                    boolean                          any open injury
--   full_thickness_on_trunk_or_pelvis  boolean                          of the person
--   signs_of_infection                 boolean                          of the person
--   turning_surfaces_injured           integer                          of the person
--   newest_injury_on                   date                             of the person
--   days_since_newest_injury           integer                          of the person
--   has_healed_injury                  boolean                          of the person
--   healed_on                          date                             of the person
--   days_since_healed                  integer                          of the person
--   risk_is_stale                      boolean                          of the person
--   spinal_cord_injury                 boolean                          of the person
--   comfort_first                      boolean                          of the person
--   progressive_condition              boolean                          of the person
--   form_on                            date                             of the person
--   weight_kg                          number                           of the person
--   hours_seated                       number                           of the person
--   bed_mobility                       code circumstances.bed_mobility  of the person
--   unstable_spine                     boolean                          of the person
--   traction                           boolean                          of the person
--   smoking                            code circumstances.smoking       of the person
--   naked_flame                        boolean                          of the person
--   fire_plan_on                       date                             of the person
--   outage_plan                        boolean                          of the person
--   lying_level                        integer                          of the person
--   transfers                          code circumstances.transfers     of the person
--   turning_interval_h                 number                           of the person
--   plastic_backed_pad                 boolean                          of the person
--   rehab_goal_mobility                boolean                          of the person
--   cannot_keep_off_injury             boolean                          of the person
--   moisture                           code circumstances.moisture      of the person
--   cold_discomfort                    boolean                          of the person
--   noise_discomfort                   boolean                          of the person
--   motion_discomfort                  boolean                          of the person
--   electric_blanket                   boolean                          of the person
--   for_resuscitation                  boolean                          of the person
--   carers_know_deflate                boolean                          of the person
--   lung_disease                       boolean                          of the person
--   fluid_balance_risk                 boolean                          of the person
--   has_flap                           boolean                          of the person
--   flap_on                            date                             of the person
--   days_since_flap                    integer                          of the person
--   has_fall                           boolean                          of the person
--   fall_on                            date                             of the person
--   days_since_fall                    integer                          of the person
--   has_held_row                       boolean                          a row of this person is held back
WITH bases AS (
    SELECT loans.client_id, MAX(loans.risk_level_max) AS best_level
    FROM state.loans_in_place AS loans
    WHERE loans.position = 'lying' AND NOT loans.is_overlay AND COALESCE(loans.is_where_person_is, TRUE)
    GROUP BY loans.client_id
),
earlier AS (
    SELECT
        kept.loan_id,
        classes.risk_level_max,
        classes.injury_stage_max,
        ROW_NUMBER() OVER (PARTITION BY kept.loan_id ORDER BY former.issued_on DESC, former.loan_id DESC) AS newest
    FROM records.loans AS kept
    INNER JOIN records.loans AS former
        ON former.client_id = kept.client_id AND former.position = kept.position AND former.issued_on < kept.issued_on
    LEFT JOIN policy.surface_classes AS classes ON classes.surface_class = former.surface_class
    -- What went back is asked of no more, so it need not be compared.
    WHERE kept.returned_on IS NULL
)
SELECT
    loans.loan_id,
    loans.client_id,
    kept.device_id,
    loans.position,
    loans.surface_class,
    kept.owner,
    loans.is_where_person_is,
    loans.is_overlay,
    -- An ordinary mattress carries rung 0, and an overlay is made to lie on one.
    loans.is_overlay AND CASE WHEN bases.client_id IS NULL THEN FALSE ELSE bases.best_level > 0 END AS has_base_below,
    loans.is_active,
    loans.is_pump_fed,
    loans.is_powered,
    loans.risk_level_max,
    loans.injury_stage_max,
    kept.max_user_kg,
    kept.min_user_kg,
    kept.width_cm,
    kept.requested_on,
    kept.issued_on,
    CASE
        WHEN kept.issued_on IS NOT NULL
            THEN earlier.loan_id IS NOT NULL
                AND (loans.risk_level_max > earlier.risk_level_max OR loans.injury_stage_max > earlier.injury_stage_max)
    END AS is_step_up,
    CAST(date_diff('day', kept.issued_on, parameters.as_of) AS INTEGER) AS days_since_issued,
    kept.made_on,
    CAST(date_diff('day', kept.made_on, parameters.as_of) AS INTEGER) AS days_since_made,
    kept.inspected_on,
    CAST(date_diff('day', kept.inspected_on, parameters.as_of) AS INTEGER) AS days_since_inspected,
    kept.serviced_on,
    CAST(date_diff('day', kept.serviced_on, parameters.as_of) AS INTEGER) AS days_since_service,
    kept.serviced_on + CAST(service.amount AS INTEGER) AS service_due_on,
    kept.electrical_test_on,
    CAST(date_diff('day', kept.electrical_test_on, parameters.as_of) AS INTEGER) AS days_since_electrical_test,
    kept.state_seen_on,
    loans.days_since_state_seen,
    loans.days_since_state_seen IS NOT NULL AND NOT loans.is_state_fresh AS state_is_too_old,
    loans.in_use,
    loans.cover_condition,
    loans.mode,
    loans.mode_hours,
    loans.cycle_minutes,
    loans.pump_state,
    loans.setting,
    loans.setting_kind,
    loans.leak_seen,
    loans.power_leads_safe,
    loans.fitted_correctly,
    kept.cover_opened_on,
    CAST(date_diff('day', kept.cover_opened_on, parameters.as_of) AS INTEGER) AS days_since_cover_opened,
    kept.bottoming_check,
    kept.bottoming_method,
    kept.bottoming_checked_on,
    CAST(date_diff('day', kept.bottoming_checked_on, parameters.as_of) AS INTEGER) AS days_since_bottoming_check,
    kept.trial_started_on IS NOT NULL AS has_trial,
    kept.trial_started_on,
    CAST(date_diff('day', kept.trial_started_on, parameters.as_of) AS INTEGER) AS days_since_trial_started,
    kept.trial_reviewed_on,
    kept.trial_outcome,
    kept.reviewed_on,
    CAST(date_diff('day', kept.reviewed_on, parameters.as_of) AS INTEGER) AS days_since_reviewed,
    kept.skin_checked_on,
    kept.justification_recorded,
    clients.care_setting,
    clients.team,
    clients.clinician,
    clients.is_adult,
    clients.risk_rung,
    clients.risk_level,
    CASE WHEN loans.position = 'sitting' THEN clients.sitting_need_rung ELSE clients.lying_need_rung END AS need_rung,
    CASE WHEN loans.position = 'sitting' THEN clients.sitting_injury_rung ELSE clients.lying_injury_rung END
        AS injury_rung,
    clients.has_open_injury_lying,
    clients.has_open_injury_sitting,
    clients.has_open_injury,
    clients.full_thickness_on_trunk_or_pelvis,
    clients.signs_of_infection,
    clients.turning_surfaces_injured,
    clients.newest_injury_on,
    clients.days_since_newest_injury,
    clients.has_healed_injury,
    clients.healed_on,
    clients.days_since_healed,
    clients.risk_is_stale,
    clients.spinal_cord_injury,
    clients.comfort_first,
    clients.progressive_condition,
    clients.form_on,
    clients.weight_kg,
    clients.hours_seated,
    clients.bed_mobility,
    clients.unstable_spine,
    clients.traction,
    clients.smoking,
    clients.naked_flame,
    clients.fire_plan_on,
    clients.outage_plan,
    clients.lying_level,
    clients.transfers,
    clients.turning_interval_h,
    clients.plastic_backed_pad,
    clients.rehab_goal_mobility,
    clients.cannot_keep_off_injury,
    clients.moisture,
    clients.cold_discomfort,
    clients.noise_discomfort,
    clients.motion_discomfort,
    clients.electric_blanket,
    clients.for_resuscitation,
    clients.carers_know_deflate,
    clients.lung_disease,
    clients.fluid_balance_risk,
    clients.has_flap,
    clients.flap_on,
    clients.days_since_flap,
    clients.has_fall,
    clients.fall_on,
    clients.days_since_fall,
    clients.has_held_row
FROM state.loans_in_place AS loans
INNER JOIN records.loans AS kept ON kept.loan_id = loans.loan_id
INNER JOIN state.clients AS clients ON clients.client_id = loans.client_id
CROSS JOIN review.parameters AS parameters
LEFT JOIN bases ON bases.client_id = loans.client_id
LEFT JOIN earlier ON earlier.loan_id = loans.loan_id AND earlier.newest = 1
-- A policy that switches the rule about services off allows any time.
LEFT JOIN policy.parameters AS service ON service.name = 'service_days'
