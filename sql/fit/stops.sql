-- question: Which surface in use must not be under its person as it is, or may not, for want of which fact?
-- grain:    one row per surface in use where the person is that a hard stop is true of, or may be
-- key:      client_id, loan_id
-- inputs:   state.loans_in_place, state.clients, state.form_answers, records.loans, policy.fit_criteria,
--           policy.labels, policy.parameters
-- beware:   a hard stop stands until a clinician overrides it; is_stopped is blank where only a fact that nobody recorded keeps it open;
--           what is wrong with the item itself counts where it is recorded and asks nothing where it is not: the class may well do
-- columns:
--   client_id      id                        the person
--   position       code loans.position       lying or sitting
--   loan_id        id                        the surface
--   surface_class  code loans.surface_class  its class
--   is_stopped     boolean                   a hard stop is true by what is recorded; blank where a blank fact decides it
--   because        text                      which stops, as plain sentences joined by ;
--   check_first    text                      the facts that decide and are not recorded, joined by a comma
WITH kinds AS (
    -- Which classes policy stops by their kind and not by how they are set.
    SELECT
        criteria.surface_class,
        COUNT(CASE WHEN criteria.fact = 'spine_must_rest' THEN 1 END) > 0 AS never_under_the_spine,
        COUNT(CASE WHEN criteria.fact = 'lung_disease' THEN 1 END) > 0 AS never_for_lungs,
        COUNT(CASE WHEN criteria.fact = 'floor_not_fit' THEN 1 END) > 0 AS asks_for_the_floor
    FROM policy.fit_criteria AS criteria
    WHERE criteria.kind = 'stop'
    GROUP BY criteria.surface_class
),
limits AS (
    SELECT
        MAX(CASE WHEN parameters.name = 'static_hours_deep' THEN parameters.amount END) AS static_hours,
        MAX(CASE WHEN parameters.name = 'firm_hours' THEN parameters.amount END) AS firm_hours
    FROM policy.parameters AS parameters
),
used AS (
    SELECT
        loans.client_id,
        loans.position,
        loans.loan_id,
        loans.surface_class,
        loans.is_active,
        loans.is_powered,
        loans.is_pump_fed,
        COALESCE(kinds.never_under_the_spine AND NOT loans.is_active, FALSE) AS stops_in_any_mode,
        COALESCE(kinds.never_for_lungs, FALSE) AS stops_for_lungs,
        loans.mode,
        clients.unstable_spine OR clients.traction AS spine_must_rest,
        clients.unstable_spine,
        clients.traction,
        clients.smoking,
        clients.naked_flame,
        clients.smoking IN ('unsupervised', 'in_bed') OR clients.naked_flame AS has_fire_near,
        clients.fire_plan_on IS NULL AS has_no_fire_plan,
        clients.bed_mobility,
        form.power_reliable,
        form.can_be_turned_by_carer,
        form.lung_disease,
        kept.bottoming_check = 'fail' AS reaches_base,
        clients.weight_kg > kept.max_user_kg AS is_over_load,
        loans.is_pump_fed AND loans.pump_state IN ('off', 'alarm') AS has_no_air,
        loans.is_powered AND NOT loans.power_leads_safe AS has_bad_leads,
        -- No export tells what a floor bears.
        COALESCE(kinds.asks_for_the_floor, FALSE) AS asks_for_the_floor,
        loans.is_active
            AND loans.mode = 'static'
            AND loans.mode_hours > limits.static_hours
            AND clients.full_thickness_on_trunk_or_pelvis
            AND clients.bed_mobility = 'immobile'
            AND NOT COALESCE(clients.unstable_spine OR clients.traction, FALSE) AS stands_still,
        loans.is_pump_fed AND loans.mode = 'firm' AND loans.mode_hours > limits.firm_hours AS is_left_firm
    FROM state.loans_in_place AS loans
    INNER JOIN state.clients AS clients ON clients.client_id = loans.client_id
    LEFT JOIN state.form_answers AS form ON form.client_id = loans.client_id
    LEFT JOIN records.loans AS kept ON kept.client_id = loans.client_id AND kept.loan_id = loans.loan_id
    LEFT JOIN kinds ON kinds.surface_class = loans.surface_class
    CROSS JOIN limits
    -- What stands elsewhere or unused stops nobody, and a class that is not known is asked for before all else.
    WHERE loans.class_is_known AND loans.is_where_person_is AND COALESCE(loans.in_use, TRUE)
),
tried AS (
    SELECT
        used.*,
        used.spine_must_rest AND (used.stops_in_any_mode OR (used.is_active AND used.mode = 'alternating')) AS by_spine,
        used.is_pump_fed AND used.has_fire_near AND used.has_no_fire_plan AS by_fire,
        used.is_powered
            AND NOT used.power_reliable
            AND used.bed_mobility = 'immobile'
            AND NOT used.can_be_turned_by_carer AS by_power,
        used.stops_for_lungs AND used.lung_disease AS by_lungs
    FROM used
),
judged AS (
    SELECT
        tried.*,
        tried.by_spine
            OR tried.by_fire
            OR tried.by_power
            OR tried.by_lungs
            OR COALESCE(tried.reaches_base, FALSE)
            OR COALESCE(tried.is_over_load, FALSE)
            OR COALESCE(tried.has_no_air, FALSE)
            OR COALESCE(tried.has_bad_leads, FALSE)
            OR COALESCE(tried.stands_still, FALSE)
            OR COALESCE(tried.is_left_firm, FALSE)
            OR CASE WHEN tried.asks_for_the_floor THEN NULL ELSE FALSE END AS is_stopped,
        COALESCE(class_labels.label, tried.surface_class) AS class_label
    FROM tried
    LEFT JOIN policy.labels AS class_labels
        ON class_labels.kind = 'surface_class' AND class_labels.code = tried.surface_class
)
SELECT
    judged.client_id,
    judged.position,
    judged.loan_id,
    judged.surface_class,
    judged.is_stopped,
    NULLIF(
        CONCAT_WS(
            '; ',
            CASE WHEN judged.by_spine THEN judged.class_label || ' moves under an unstable spine or traction' END,
            CASE WHEN judged.by_fire THEN judged.class_label || ' is fed with air beside a flame or unsupervised smoking, with no fire plan' END,
            CASE
                WHEN judged.by_power
                    THEN judged.class_label || ' needs power that cannot be relied on, and nobody can turn the person by hand'
            END,
            CASE WHEN judged.by_lungs THEN judged.class_label || ' is not for lung disease' END,
            CASE WHEN judged.reaches_base THEN judged.class_label || ' was found with the body on the base' END,
            CASE WHEN judged.is_over_load THEN judged.class_label || ' carries more than it is rated for' END,
            CASE WHEN judged.has_no_air THEN judged.class_label || ' has its pump off or in alarm' END,
            CASE WHEN judged.has_bad_leads THEN judged.class_label || ' has unsafe leads' END,
            CASE
                WHEN judged.stands_still
                    THEN judged.class_label || ' was left in static mode under a deep injury of somebody who cannot move'
            END,
            CASE WHEN judged.is_left_firm THEN judged.class_label || ' was left at its firmest' END
        ),
        ''
    ) AS because,
    NULLIF(
        CONCAT_WS(
            ', ',
            CASE WHEN judged.by_spine IS NULL AND judged.unstable_spine IS NULL THEN 'whether the spine is stable' END,
            CASE WHEN judged.by_spine IS NULL AND judged.traction IS NULL THEN 'traction' END,
            CASE WHEN judged.by_spine IS NULL AND judged.mode IS NULL AND NOT judged.stops_in_any_mode THEN 'mode of the surface' END,
            CASE WHEN judged.by_fire IS NULL AND judged.smoking IS NULL THEN 'smoking' END,
            CASE WHEN judged.by_fire IS NULL AND judged.naked_flame IS NULL THEN 'a naked flame' END,
            CASE
                WHEN judged.by_power IS NULL AND judged.power_reliable IS NULL
                    THEN 'whether the mains can be relied on'
            END,
            CASE WHEN judged.by_power IS NULL AND judged.bed_mobility IS NULL THEN 'mobility in bed' END,
            CASE
                WHEN judged.by_power IS NULL AND judged.can_be_turned_by_carer IS NULL
                    THEN 'whether somebody can turn the person by hand'
            END,
            CASE WHEN judged.by_lungs IS NULL THEN 'lung disease' END,
            CASE WHEN judged.asks_for_the_floor THEN 'whether the floor bears it' END
        ),
        ''
    ) AS check_first
FROM judged
WHERE COALESCE(judged.is_stopped, TRUE)
ORDER BY judged.client_id, judged.loan_id
