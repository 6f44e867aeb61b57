-- question: Which facts that decide between classes of surface are true of each person, and which are not known?
-- grain:    one row per person on the caseload, position and fact
-- key:      client_id, position, fact
-- inputs:   fit.need, fit.wishes, state.clients, state.form_answers, policy.fit_facts, policy.need_levels, policy.stages, policy.parameters
-- beware:   what nobody recorded is blank and not no; rules of size are for adults alone
-- stored:   view
-- columns:
--   client_id  id                   the person
--   position   code loans.position  lying or sitting
--   fact       text                 the fact, as policy names it
--   is_true    boolean              blank while what decides it is not recorded
--   missing    text                 what would decide it, joined by a comma; blank where it is known
WITH limits AS (
    SELECT
        MAX(CASE WHEN parameters.name = 'light_weight_kg' THEN parameters.amount END) AS light_kg,
        MAX(CASE WHEN parameters.name = 'heavy_on_foam_kg' THEN parameters.amount END) AS heavy_kg,
        CAST(MAX(CASE WHEN parameters.name = 'wide_bed_bmi' THEN parameters.amount END) AS DECIMAL(7, 2)) AS wide_bmi,
        CAST(MAX(CASE WHEN parameters.name = 'wide_bed_bmi_always' THEN parameters.amount END) AS DECIMAL(7, 2)) AS wide_bmi_always,
        MAX(CASE WHEN parameters.name = 'injured_sit_longest_min' THEN parameters.amount END) AS longest_min,
        MAX(CASE WHEN parameters.name = 'injured_sit_hours_a_day' THEN parameters.amount END) AS hours_a_day,
        MAX(CASE WHEN parameters.name = 'turning_surfaces_for_more' THEN parameters.amount END) AS turning_surfaces
    FROM policy.parameters AS parameters
),
ladders AS (
    SELECT MAX(need_levels.rung) AS highest FROM policy.need_levels AS need_levels
),
stage_ladder AS (
    SELECT MAX(stages.injury_rung) AS deepest FROM policy.stages AS stages
),
tall AS (
    -- Narrower than the columns, because a product of three numbers of eighteen digits has no room.
    SELECT
        wishes.client_id,
        CAST(wishes.height_cm / 100 AS DECIMAL(7, 4)) * CAST(wishes.height_cm / 100 AS DECIMAL(7, 4)) AS square_metres
    FROM fit.wishes AS wishes
),
known AS (
    SELECT
        need.client_id,
        need.position,
        clients.unstable_spine,
        clients.traction,
        clients.smoking,
        clients.naked_flame,
        form.power_reliable,
        clients.bed_mobility,
        form.can_be_turned_by_carer,
        form.lung_disease,
        clients.unstable_spine OR clients.traction AS spine_must_rest,
        (clients.smoking IN ('unsupervised', 'in_bed') OR clients.naked_flame) AND clients.fire_plan_on IS NULL AS fire_near,
        (clients.smoking IN ('unsupervised', 'in_bed') OR clients.naked_flame) AND clients.fire_plan_on IS NOT NULL AS fire_planned,
        NOT form.power_reliable AND clients.bed_mobility = 'immobile' AND NOT form.can_be_turned_by_carer AS power_cut_harms,
        wishes.fluid_balance_risk,
        NOT clients.outage_plan AS no_outage_plan,
        NOT form.power_reliable AS power_unreliable,
        wishes.confused_or_restless,
        wishes.motion_discomfort,
        wishes.noise_discomfort,
        wishes.cold_discomfort,
        wishes.heat_discomfort,
        wishes.wet_skin,
        wishes.heat_discomfort OR wishes.wet_skin AS hot_or_wet,
        wishes.transfers_alone,
        wishes.goal_to_move,
        wishes.transfers_alone OR wishes.goal_to_move AS steadiness_matters,
        clients.comfort_first,
        clients.progressive_condition,
        clients.bed_rails,
        clients.has_injury_to_offload,
        wishes.electric_blanket,
        wishes.deflate_not_taught,
        clients.is_adult AND clients.weight_kg < limits.light_kg AS light_person,
        clients.is_adult AND clients.weight_kg > limits.heavy_kg AS heavy_person,
        clients.is_adult
            AND (
                clients.weight_kg > limits.wide_bmi_always * tall.square_metres
                OR (clients.weight_kg > limits.wide_bmi * tall.square_metres AND clients.bed_mobility <> 'independent')
            ) AS needs_wide_bed,
        clients.turning_surfaces_injured >= limits.turning_surfaces AS two_turning_surfaces,
        need.injury_at_least > 0 AND need.injury_at_most < stage_ladder.deepest AS shallow_injury,
        need.need_at_least >= ladders.highest AS need_is_highest,
        CASE WHEN need.injury_at_most = 0 THEN FALSE WHEN need.injury_at_least > 0 THEN TRUE END
            AND (clients.longest_sit_min > limits.longest_min OR clients.hours_seated > limits.hours_a_day) AS sits_long
    FROM fit.need AS need
    INNER JOIN state.clients AS clients ON clients.client_id = need.client_id
    LEFT JOIN state.form_answers AS form ON form.client_id = need.client_id
    LEFT JOIN fit.wishes AS wishes ON wishes.client_id = need.client_id
    LEFT JOIN tall ON tall.client_id = need.client_id
    CROSS JOIN limits
    CROSS JOIN ladders
    CROSS JOIN stage_ladder
),
worked_out AS (
    SELECT
        known.*,
        facts.fact,
        facts.label,
        CASE facts.fact
            WHEN 'always' THEN TRUE
            WHEN 'spine_must_rest' THEN known.spine_must_rest
            WHEN 'fire_near' THEN known.fire_near
            WHEN 'fire_planned' THEN known.fire_planned
            WHEN 'power_cut_harms' THEN known.power_cut_harms
            WHEN 'lung_disease' THEN known.lung_disease
            WHEN 'fluid_balance_risk' THEN known.fluid_balance_risk
            WHEN 'no_outage_plan' THEN known.no_outage_plan
            WHEN 'power_unreliable' THEN known.power_unreliable
            WHEN 'confused_or_restless' THEN known.confused_or_restless
            WHEN 'motion_discomfort' THEN known.motion_discomfort
            WHEN 'noise_discomfort' THEN known.noise_discomfort
            WHEN 'cold_discomfort' THEN known.cold_discomfort
            WHEN 'heat_discomfort' THEN known.heat_discomfort
            WHEN 'wet_skin' THEN known.wet_skin
            WHEN 'hot_or_wet' THEN known.hot_or_wet
            WHEN 'transfers_alone' THEN known.transfers_alone
            WHEN 'goal_to_move' THEN known.goal_to_move
            WHEN 'steadiness_matters' THEN known.steadiness_matters
            WHEN 'comfort_first' THEN known.comfort_first
            WHEN 'progressive_condition' THEN known.progressive_condition
            WHEN 'bed_rails' THEN known.bed_rails
            WHEN 'injury_to_offload' THEN known.has_injury_to_offload
            WHEN 'electric_blanket' THEN known.electric_blanket
            WHEN 'deflate_not_taught' THEN known.deflate_not_taught
            WHEN 'light_person' THEN known.light_person
            WHEN 'heavy_person' THEN known.heavy_person
            WHEN 'needs_wide_bed' THEN known.needs_wide_bed
            WHEN 'two_turning_surfaces' THEN known.two_turning_surfaces
            WHEN 'shallow_injury' THEN known.shallow_injury
            WHEN 'need_is_highest' THEN known.need_is_highest
            WHEN 'sits_long_on_injury' THEN known.sits_long
        END AS is_true
    FROM known
    CROSS JOIN policy.fit_facts AS facts
)
SELECT
    worked_out.client_id,
    worked_out.position,
    worked_out.fact,
    worked_out.is_true,
    CASE
        WHEN worked_out.is_true IS NOT NULL THEN NULL
        -- Where several answers decide together, those that are blank are named one by one.
        WHEN worked_out.fact = 'spine_must_rest' THEN
            CONCAT_WS(
                ', ',
                CASE WHEN worked_out.unstable_spine IS NULL THEN 'whether the spine is stable' END,
                CASE WHEN worked_out.traction IS NULL THEN 'traction' END
            )
        WHEN worked_out.fact IN ('fire_near', 'fire_planned') THEN
            CONCAT_WS(
                ', ',
                CASE WHEN worked_out.smoking IS NULL THEN 'smoking' END,
                CASE WHEN worked_out.naked_flame IS NULL THEN 'a naked flame' END
            )
        WHEN worked_out.fact = 'power_cut_harms' THEN
            CONCAT_WS(
                ', ',
                CASE WHEN worked_out.power_reliable IS NULL THEN 'whether the mains can be relied on' END,
                CASE WHEN worked_out.bed_mobility IS NULL THEN 'mobility in bed' END,
                CASE WHEN worked_out.can_be_turned_by_carer IS NULL THEN 'whether somebody can turn the person by hand' END
            )
        ELSE worked_out.label
    END AS missing
FROM worked_out
ORDER BY worked_out.client_id, worked_out.position, worked_out.fact
