-- question: Which surfaces are out with somebody, and what was lately seen of them?
-- grain:    one row per loan that is issued and not returned
-- key:      client_id, loan_id
-- inputs:   records.loans, state.placements, policy.surface_classes, policy.parameters, review.parameters
-- beware:   what was seen longer ago than the shelf life reads as blank, and so does what was seen on no recorded day
-- columns:
--   loan_id                id                          the loan
--   client_id              id                          the person
--   position               code loans.position         lying or sitting
--   surface_class          code loans.surface_class    the class; blank when not recorded
--   is_overlay             boolean                     lies on another surface, by the loan or by its class
--   class_is_known         boolean                     policy knows this class, for this position
--   is_active              boolean                     the class moves its cells
--   is_pump_fed            boolean                     the class is kept up by a pump
--   is_powered             boolean                     the class needs power
--   risk_level_max         integer                     highest risk rung the class carries
--   injury_stage_max       integer                     highest injury rung the class carries
--   is_state_fresh         boolean                     the state columns were seen within their shelf life
--   days_since_state_seen  integer                     days since they were seen
--   in_use                 boolean                     in use when seen
--   cover_condition        code loans.cover_condition  when seen
--   mode                   code loans.mode             when seen
--   mode_hours             number                      h in this mode when seen
--   cycle_minutes          number                      min when seen
--   pump_state             code loans.pump_state       when seen
--   setting                number                      when seen, in setting_kind
--   setting_kind           code loans.setting_kind     when seen
--   leak_seen              boolean                     when seen
--   power_leads_safe       boolean                     when seen
--   fitted_correctly       boolean                     when seen
--   is_where_person_is     boolean                     it is where the person is now; blank when that cannot be told
WITH shelf_life AS (
    SELECT MIN(parameters.amount) AS days
    FROM policy.parameters AS parameters
    WHERE parameters.name = 'state_shelf_life_days'
),
in_place AS (
    SELECT
        loans.*,
        CAST(date_diff('day', loans.state_seen_on, parameters.as_of) AS INTEGER) AS days_since_state_seen
    FROM records.loans AS loans
    CROSS JOIN review.parameters AS parameters
    WHERE loans.returned_on IS NULL
        AND COALESCE(loans.loan_status, 'issued') NOT IN ('returned', 'cancelled')
        AND (loans.issued_on IS NOT NULL OR loans.loan_status = 'issued')
),
dated AS (
    SELECT
        in_place.*,
        COALESCE(in_place.days_since_state_seen <= shelf_life.days, FALSE) AS is_state_fresh
    FROM in_place
    CROSS JOIN shelf_life
),
settings AS (
    SELECT placements.client_id, placements.care_setting FROM state.placements AS placements WHERE placements.is_leading
)
SELECT
    dated.loan_id,
    dated.client_id,
    dated.position,
    CASE WHEN dated.surface_class <> 'not_recorded' THEN dated.surface_class END AS surface_class,
    -- A class that is an overlay by nature stays one, whatever the loan says.
    CASE WHEN surface_classes.is_overlay THEN TRUE ELSE COALESCE(dated.is_overlay, surface_classes.is_overlay) END
        AS is_overlay,
    surface_classes.surface_class IS NOT NULL AS class_is_known,
    surface_classes.is_active,
    surface_classes.is_pump_fed,
    surface_classes.is_powered,
    surface_classes.risk_level_max,
    surface_classes.injury_stage_max,
    dated.is_state_fresh,
    dated.days_since_state_seen,
    CASE WHEN dated.is_state_fresh THEN dated.in_use END AS in_use,
    CASE WHEN dated.is_state_fresh THEN dated.cover_condition END AS cover_condition,
    CASE WHEN dated.is_state_fresh THEN dated.mode END AS mode,
    CASE WHEN dated.is_state_fresh THEN dated.mode_hours END AS mode_hours,
    CASE WHEN dated.is_state_fresh THEN dated.cycle_minutes END AS cycle_minutes,
    CASE WHEN dated.is_state_fresh THEN dated.pump_state END AS pump_state,
    CASE WHEN dated.is_state_fresh THEN dated.setting END AS setting,
    CASE WHEN dated.is_state_fresh THEN dated.setting_kind END AS setting_kind,
    CASE WHEN dated.is_state_fresh THEN dated.leak_seen END AS leak_seen,
    CASE WHEN dated.is_state_fresh THEN dated.power_leads_safe END AS power_leads_safe,
    CASE WHEN dated.is_state_fresh THEN dated.fitted_correctly END AS fitted_correctly,
    -- A facility's surface stays with the facility, so it counts only for the placement it belongs to. A loan
    -- without a placement lies in the person's usual home, which does not follow them into a ward.
    CASE
        WHEN placements.placement_id IS NOT NULL THEN TRUE
        WHEN dated.placement_id IS NOT NULL AND dated.owner IN ('care_home', 'hospital') THEN FALSE
        WHEN dated.placement_id IS NOT NULL THEN NULL
        WHEN settings.care_setting IN ('acute', 'intensive_care', 'rehabilitation') THEN
            CASE WHEN dated.owner = 'hospital' THEN TRUE WHEN dated.owner IS NOT NULL THEN FALSE END
        WHEN dated.owner = 'hospital' THEN NULL
        WHEN dated.owner = 'care_home' AND COALESCE(settings.care_setting <> 'residential_care', TRUE) THEN NULL
        ELSE TRUE
    END AS is_where_person_is
FROM dated
LEFT JOIN policy.surface_classes AS surface_classes ON surface_classes.surface_class = dated.surface_class
    AND COALESCE(surface_classes.position, dated.position) = dated.position
LEFT JOIN settings ON settings.client_id = dated.client_id
LEFT JOIN state.placements AS placements
    ON placements.client_id = dated.client_id AND placements.placement_id = dated.placement_id
