-- question: What does the circumstances form say of each person that can still be trusted?
-- grain:    one row per person with any circumstances recorded
-- key:      client_id
-- inputs:   state.form_newest, policy.fact_ages, review.parameters
-- beware:   an answer that policy keeps when worse stands past its age; the rest reads as not known
-- columns:
--   client_id                  id                                  the person
--   form_on                    date                                newest form of any kind
--   weight_kg                  number                              kg
--   bed_mobility               code circumstances.bed_mobility     help needed to move in bed
--   hours_seated               number                              h a day, all seats
--   longest_sit_min            integer                             min
--   seating_plan_on            date                                a seating plan was written
--   heel_offloading            code circumstances.heel_offloading  what keeps the heels clear
--   unstable_spine             boolean                             the spine is not stable
--   traction                   boolean                             in traction
--   smoking                    code circumstances.smoking          smokes, and how
--   naked_flame                boolean                             candles, an open fire, another's smoking
--   uses_emollient             boolean                             emollients on skin or bedding
--   fire_plan_on               date                                a fire plan was written
--   outage_plan                boolean                             a plan for a power cut
--   bed_rails                  boolean                             bed rails are in use
--   rail_top_above_surface_mm  integer                             mm, above the uncompressed surface
--   rail_gap_inside_mm         integer                             mm, largest of zones 1 to 3
--   rail_gap_end_mm            integer                             mm, zone 4
--   can_be_turned_by_carer     boolean                             somebody can turn the person by hand
--   can_shift_weight_seated    boolean                             shifts weight in the seat without help
--   power_reliable             boolean                             the mains can be relied on
--   lung_disease               boolean                             lung disease
--   height_cm                  number                              cm
--   transfers                  code circumstances.transfers        how the person gets from bed to chair
--   commode_min                integer                             min a day on a hard commode or shower seat
--   seat_tilts                 boolean                             the seat tilts
--   posture_asymmetry          boolean                             sits or lies crooked
--   posture_reviewed_on        date                                posture was last reviewed
--   turning_interval_h         number                              h between turns
--   head_of_bed_deg            integer                             degrees, usual
--   head_up_reason             boolean                             a medical reason for it is recorded
--   linen_layers               integer                             layers between person and surface
--   plastic_backed_pad         boolean                             a pad with a plastic back is in use
--   sling_left_under           boolean                             a sling or slide sheet is left under the person
--   ring_device                boolean                             a ring or donut cushion is in use
--   sits_up_in_bed_min         integer                             min, longest time sitting up in bed
--   rehab_goal_mobility        boolean                             moving or transferring alone is a goal
--   cannot_keep_off_injury     boolean                             the person cannot be kept off an injury
--   moisture                   code circumstances.moisture         how wet the skin is
--   cold_discomfort            boolean                             is cold on the surface
--   noise_discomfort           boolean                             is disturbed by its noise
--   motion_discomfort          boolean                             is made sick, dizzy or distressed by its movement
--   home_oxygen                boolean                             oxygen at home
--   electric_blanket           boolean                             an electric blanket or heat pad is in use
--   for_resuscitation          boolean                             is to be resuscitated
--   carers_know_deflate        boolean                             carers know how to let the air out at once
--   confused_or_restless       boolean                             is confused or restless
--   rails_checked_on           date                                the rails were last checked
--   bed_width_cm               number                              cm
--   fluid_balance_risk         boolean                             loses fluid or may run dry
--   too_old                    text                                which of these were answered and are too old to trust, joined by ;
WITH judged AS (
    SELECT
        newest.*,
        COALESCE(
            date_diff('day', newest.weight_kg_asked, parameters.as_of) > ages.weight_kg
                AND NOT COALESCE(
                    newest.weight_kg < ages.weight_kg_keeps_below
                    OR newest.weight_kg >= ages.weight_kg_keeps_from,
                    FALSE
                ),
            FALSE
        ) AS weight_kg_old,
        COALESCE(
            date_diff('day', newest.bed_mobility_asked, parameters.as_of) > ages.bed_mobility
                AND NOT COALESCE(
                    '; ' || ages.bed_mobility_keeps || '; ' LIKE '%; ' || newest.bed_mobility || '; %',
                    FALSE
                ),
            FALSE
        ) AS bed_mobility_old,
        COALESCE(
            date_diff('day', newest.hours_seated_asked, parameters.as_of) > ages.hours_seated
                AND NOT COALESCE(
                    newest.hours_seated < ages.hours_seated_keeps_below
                    OR newest.hours_seated >= ages.hours_seated_keeps_from,
                    FALSE
                ),
            FALSE
        ) AS hours_seated_old,
        COALESCE(
            date_diff('day', newest.longest_sit_min_asked, parameters.as_of) > ages.longest_sit_min
                AND NOT COALESCE(
                    newest.longest_sit_min < ages.longest_sit_min_keeps_below
                    OR newest.longest_sit_min >= ages.longest_sit_min_keeps_from,
                    FALSE
                ),
            FALSE
        ) AS longest_sit_min_old,
        COALESCE(
            date_diff('day', newest.seating_plan_on_asked, parameters.as_of) > ages.seating_plan_on,
            FALSE
        ) AS seating_plan_on_old,
        COALESCE(
            date_diff('day', newest.heel_offloading_asked, parameters.as_of) > ages.heel_offloading
                AND NOT COALESCE(
                    '; ' || ages.heel_offloading_keeps || '; ' LIKE '%; ' || newest.heel_offloading || '; %',
                    FALSE
                ),
            FALSE
        ) AS heel_offloading_old,
        COALESCE(
            date_diff('day', newest.unstable_spine_asked, parameters.as_of) > ages.unstable_spine
                AND NOT COALESCE(
                    '; ' || ages.unstable_spine_keeps || '; ' LIKE '%; ' || CAST(newest.unstable_spine AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS unstable_spine_old,
        COALESCE(
            date_diff('day', newest.traction_asked, parameters.as_of) > ages.traction
                AND NOT COALESCE(
                    '; ' || ages.traction_keeps || '; ' LIKE '%; ' || CAST(newest.traction AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS traction_old,
        COALESCE(
            date_diff('day', newest.smoking_asked, parameters.as_of) > ages.smoking
                AND NOT COALESCE(
                    '; ' || ages.smoking_keeps || '; ' LIKE '%; ' || newest.smoking || '; %',
                    FALSE
                ),
            FALSE
        ) AS smoking_old,
        COALESCE(
            date_diff('day', newest.naked_flame_asked, parameters.as_of) > ages.naked_flame
                AND NOT COALESCE(
                    '; ' || ages.naked_flame_keeps || '; ' LIKE '%; ' || CAST(newest.naked_flame AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS naked_flame_old,
        COALESCE(
            date_diff('day', newest.uses_emollient_asked, parameters.as_of) > ages.uses_emollient
                AND NOT COALESCE(
                    '; ' || ages.uses_emollient_keeps || '; ' LIKE '%; ' || CAST(newest.uses_emollient AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS uses_emollient_old,
        COALESCE(
            date_diff('day', newest.fire_plan_on_asked, parameters.as_of) > ages.fire_plan_on,
            FALSE
        ) AS fire_plan_on_old,
        COALESCE(
            date_diff('day', newest.outage_plan_asked, parameters.as_of) > ages.outage_plan
                AND NOT COALESCE(
                    '; ' || ages.outage_plan_keeps || '; ' LIKE '%; ' || CAST(newest.outage_plan AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS outage_plan_old,
        COALESCE(
            date_diff('day', newest.bed_rails_asked, parameters.as_of) > ages.bed_rails
                AND NOT COALESCE(
                    '; ' || ages.bed_rails_keeps || '; ' LIKE '%; ' || CAST(newest.bed_rails AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS bed_rails_old,
        COALESCE(
            date_diff('day', newest.rail_top_above_surface_mm_asked, parameters.as_of) > ages.rail_top_above_surface_mm
                AND NOT COALESCE(
                    newest.rail_top_above_surface_mm < ages.rail_top_above_surface_mm_keeps_below
                    OR newest.rail_top_above_surface_mm >= ages.rail_top_above_surface_mm_keeps_from,
                    FALSE
                ),
            FALSE
        ) AS rail_top_above_surface_mm_old,
        COALESCE(
            date_diff('day', newest.rail_gap_inside_mm_asked, parameters.as_of) > ages.rail_gap_inside_mm
                AND NOT COALESCE(
                    newest.rail_gap_inside_mm < ages.rail_gap_inside_mm_keeps_below
                    OR newest.rail_gap_inside_mm >= ages.rail_gap_inside_mm_keeps_from,
                    FALSE
                ),
            FALSE
        ) AS rail_gap_inside_mm_old,
        COALESCE(
            date_diff('day', newest.rail_gap_end_mm_asked, parameters.as_of) > ages.rail_gap_end_mm
                AND NOT COALESCE(
                    newest.rail_gap_end_mm < ages.rail_gap_end_mm_keeps_below
                    OR newest.rail_gap_end_mm >= ages.rail_gap_end_mm_keeps_from,
                    FALSE
                ),
            FALSE
        ) AS rail_gap_end_mm_old,
        COALESCE(
            date_diff('day', newest.can_be_turned_by_carer_asked, parameters.as_of) > ages.can_be_turned_by_carer
                AND NOT COALESCE(
                    '; ' || ages.can_be_turned_by_carer_keeps || '; ' LIKE '%; ' || CAST(newest.can_be_turned_by_carer AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS can_be_turned_by_carer_old,
        COALESCE(
            date_diff('day', newest.can_shift_weight_seated_asked, parameters.as_of) > ages.can_shift_weight_seated
                AND NOT COALESCE(
                    '; ' || ages.can_shift_weight_seated_keeps || '; ' LIKE '%; ' || CAST(newest.can_shift_weight_seated AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS can_shift_weight_seated_old,
        COALESCE(
            date_diff('day', newest.power_reliable_asked, parameters.as_of) > ages.power_reliable
                AND NOT COALESCE(
                    '; ' || ages.power_reliable_keeps || '; ' LIKE '%; ' || CAST(newest.power_reliable AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS power_reliable_old,
        COALESCE(
            date_diff('day', newest.lung_disease_asked, parameters.as_of) > ages.lung_disease
                AND NOT COALESCE(
                    '; ' || ages.lung_disease_keeps || '; ' LIKE '%; ' || CAST(newest.lung_disease AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS lung_disease_old,
        COALESCE(
            date_diff('day', newest.height_cm_asked, parameters.as_of) > ages.height_cm
                AND NOT COALESCE(
                    newest.height_cm < ages.height_cm_keeps_below
                    OR newest.height_cm >= ages.height_cm_keeps_from,
                    FALSE
                ),
            FALSE
        ) AS height_cm_old,
        COALESCE(
            date_diff('day', newest.transfers_asked, parameters.as_of) > ages.transfers
                AND NOT COALESCE(
                    '; ' || ages.transfers_keeps || '; ' LIKE '%; ' || newest.transfers || '; %',
                    FALSE
                ),
            FALSE
        ) AS transfers_old,
        COALESCE(
            date_diff('day', newest.commode_min_asked, parameters.as_of) > ages.commode_min
                AND NOT COALESCE(
                    newest.commode_min < ages.commode_min_keeps_below
                    OR newest.commode_min >= ages.commode_min_keeps_from,
                    FALSE
                ),
            FALSE
        ) AS commode_min_old,
        COALESCE(
            date_diff('day', newest.seat_tilts_asked, parameters.as_of) > ages.seat_tilts
                AND NOT COALESCE(
                    '; ' || ages.seat_tilts_keeps || '; ' LIKE '%; ' || CAST(newest.seat_tilts AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS seat_tilts_old,
        COALESCE(
            date_diff('day', newest.posture_asymmetry_asked, parameters.as_of) > ages.posture_asymmetry
                AND NOT COALESCE(
                    '; ' || ages.posture_asymmetry_keeps || '; ' LIKE '%; ' || CAST(newest.posture_asymmetry AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS posture_asymmetry_old,
        COALESCE(
            date_diff('day', newest.posture_reviewed_on_asked, parameters.as_of) > ages.posture_reviewed_on,
            FALSE
        ) AS posture_reviewed_on_old,
        COALESCE(
            date_diff('day', newest.turning_interval_h_asked, parameters.as_of) > ages.turning_interval_h
                AND NOT COALESCE(
                    newest.turning_interval_h < ages.turning_interval_h_keeps_below
                    OR newest.turning_interval_h >= ages.turning_interval_h_keeps_from,
                    FALSE
                ),
            FALSE
        ) AS turning_interval_h_old,
        COALESCE(
            date_diff('day', newest.head_of_bed_deg_asked, parameters.as_of) > ages.head_of_bed_deg
                AND NOT COALESCE(
                    newest.head_of_bed_deg < ages.head_of_bed_deg_keeps_below
                    OR newest.head_of_bed_deg >= ages.head_of_bed_deg_keeps_from,
                    FALSE
                ),
            FALSE
        ) AS head_of_bed_deg_old,
        COALESCE(
            date_diff('day', newest.head_up_reason_asked, parameters.as_of) > ages.head_up_reason
                AND NOT COALESCE(
                    '; ' || ages.head_up_reason_keeps || '; ' LIKE '%; ' || CAST(newest.head_up_reason AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS head_up_reason_old,
        COALESCE(
            date_diff('day', newest.linen_layers_asked, parameters.as_of) > ages.linen_layers
                AND NOT COALESCE(
                    newest.linen_layers < ages.linen_layers_keeps_below
                    OR newest.linen_layers >= ages.linen_layers_keeps_from,
                    FALSE
                ),
            FALSE
        ) AS linen_layers_old,
        COALESCE(
            date_diff('day', newest.plastic_backed_pad_asked, parameters.as_of) > ages.plastic_backed_pad
                AND NOT COALESCE(
                    '; ' || ages.plastic_backed_pad_keeps || '; ' LIKE '%; ' || CAST(newest.plastic_backed_pad AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS plastic_backed_pad_old,
        COALESCE(
            date_diff('day', newest.sling_left_under_asked, parameters.as_of) > ages.sling_left_under
                AND NOT COALESCE(
                    '; ' || ages.sling_left_under_keeps || '; ' LIKE '%; ' || CAST(newest.sling_left_under AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS sling_left_under_old,
        COALESCE(
            date_diff('day', newest.ring_device_asked, parameters.as_of) > ages.ring_device
                AND NOT COALESCE(
                    '; ' || ages.ring_device_keeps || '; ' LIKE '%; ' || CAST(newest.ring_device AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS ring_device_old,
        COALESCE(
            date_diff('day', newest.sits_up_in_bed_min_asked, parameters.as_of) > ages.sits_up_in_bed_min
                AND NOT COALESCE(
                    newest.sits_up_in_bed_min < ages.sits_up_in_bed_min_keeps_below
                    OR newest.sits_up_in_bed_min >= ages.sits_up_in_bed_min_keeps_from,
                    FALSE
                ),
            FALSE
        ) AS sits_up_in_bed_min_old,
        COALESCE(
            date_diff('day', newest.rehab_goal_mobility_asked, parameters.as_of) > ages.rehab_goal_mobility
                AND NOT COALESCE(
                    '; ' || ages.rehab_goal_mobility_keeps || '; ' LIKE '%; ' || CAST(newest.rehab_goal_mobility AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS rehab_goal_mobility_old,
        COALESCE(
            date_diff('day', newest.cannot_keep_off_injury_asked, parameters.as_of) > ages.cannot_keep_off_injury
                AND NOT COALESCE(
                    '; ' || ages.cannot_keep_off_injury_keeps || '; ' LIKE '%; ' || CAST(newest.cannot_keep_off_injury AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS cannot_keep_off_injury_old,
        COALESCE(
            date_diff('day', newest.moisture_asked, parameters.as_of) > ages.moisture
                AND NOT COALESCE(
                    '; ' || ages.moisture_keeps || '; ' LIKE '%; ' || newest.moisture || '; %',
                    FALSE
                ),
            FALSE
        ) AS moisture_old,
        COALESCE(
            date_diff('day', newest.cold_discomfort_asked, parameters.as_of) > ages.cold_discomfort
                AND NOT COALESCE(
                    '; ' || ages.cold_discomfort_keeps || '; ' LIKE '%; ' || CAST(newest.cold_discomfort AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS cold_discomfort_old,
        COALESCE(
            date_diff('day', newest.noise_discomfort_asked, parameters.as_of) > ages.noise_discomfort
                AND NOT COALESCE(
                    '; ' || ages.noise_discomfort_keeps || '; ' LIKE '%; ' || CAST(newest.noise_discomfort AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS noise_discomfort_old,
        COALESCE(
            date_diff('day', newest.motion_discomfort_asked, parameters.as_of) > ages.motion_discomfort
                AND NOT COALESCE(
                    '; ' || ages.motion_discomfort_keeps || '; ' LIKE '%; ' || CAST(newest.motion_discomfort AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS motion_discomfort_old,
        COALESCE(
            date_diff('day', newest.home_oxygen_asked, parameters.as_of) > ages.home_oxygen
                AND NOT COALESCE(
                    '; ' || ages.home_oxygen_keeps || '; ' LIKE '%; ' || CAST(newest.home_oxygen AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS home_oxygen_old,
        COALESCE(
            date_diff('day', newest.electric_blanket_asked, parameters.as_of) > ages.electric_blanket
                AND NOT COALESCE(
                    '; ' || ages.electric_blanket_keeps || '; ' LIKE '%; ' || CAST(newest.electric_blanket AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS electric_blanket_old,
        COALESCE(
            date_diff('day', newest.for_resuscitation_asked, parameters.as_of) > ages.for_resuscitation
                AND NOT COALESCE(
                    '; ' || ages.for_resuscitation_keeps || '; ' LIKE '%; ' || CAST(newest.for_resuscitation AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS for_resuscitation_old,
        COALESCE(
            date_diff('day', newest.carers_know_deflate_asked, parameters.as_of) > ages.carers_know_deflate
                AND NOT COALESCE(
                    '; ' || ages.carers_know_deflate_keeps || '; ' LIKE '%; ' || CAST(newest.carers_know_deflate AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS carers_know_deflate_old,
        COALESCE(
            date_diff('day', newest.confused_or_restless_asked, parameters.as_of) > ages.confused_or_restless
                AND NOT COALESCE(
                    '; ' || ages.confused_or_restless_keeps || '; ' LIKE '%; ' || CAST(newest.confused_or_restless AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS confused_or_restless_old,
        COALESCE(
            date_diff('day', newest.rails_checked_on_asked, parameters.as_of) > ages.rails_checked_on,
            FALSE
        ) AS rails_checked_on_old,
        COALESCE(
            date_diff('day', newest.bed_width_cm_asked, parameters.as_of) > ages.bed_width_cm
                AND NOT COALESCE(
                    newest.bed_width_cm < ages.bed_width_cm_keeps_below
                    OR newest.bed_width_cm >= ages.bed_width_cm_keeps_from,
                    FALSE
                ),
            FALSE
        ) AS bed_width_cm_old,
        COALESCE(
            date_diff('day', newest.fluid_balance_risk_asked, parameters.as_of) > ages.fluid_balance_risk
                AND NOT COALESCE(
                    '; ' || ages.fluid_balance_risk_keeps || '; ' LIKE '%; ' || CAST(newest.fluid_balance_risk AS VARCHAR) || '; %',
                    FALSE
                ),
            FALSE
        ) AS fluid_balance_risk_old
    FROM state.form_newest AS newest
    CROSS JOIN policy.fact_ages AS ages
    CROSS JOIN review.parameters AS parameters
)
SELECT
    judged.client_id,
    judged.form_on,
    CASE WHEN NOT judged.weight_kg_old THEN judged.weight_kg END AS weight_kg,
    CASE WHEN NOT judged.bed_mobility_old THEN judged.bed_mobility END AS bed_mobility,
    CASE WHEN NOT judged.hours_seated_old THEN judged.hours_seated END AS hours_seated,
    CASE WHEN NOT judged.longest_sit_min_old THEN judged.longest_sit_min END AS longest_sit_min,
    CASE WHEN NOT judged.seating_plan_on_old THEN judged.seating_plan_on END AS seating_plan_on,
    CASE WHEN NOT judged.heel_offloading_old THEN judged.heel_offloading END AS heel_offloading,
    CASE WHEN NOT judged.unstable_spine_old THEN judged.unstable_spine END AS unstable_spine,
    CASE WHEN NOT judged.traction_old THEN judged.traction END AS traction,
    CASE WHEN NOT judged.smoking_old THEN judged.smoking END AS smoking,
    CASE WHEN NOT judged.naked_flame_old THEN judged.naked_flame END AS naked_flame,
    CASE WHEN NOT judged.uses_emollient_old THEN judged.uses_emollient END AS uses_emollient,
    CASE WHEN NOT judged.fire_plan_on_old THEN judged.fire_plan_on END AS fire_plan_on,
    CASE WHEN NOT judged.outage_plan_old THEN judged.outage_plan END AS outage_plan,
    CASE WHEN NOT judged.bed_rails_old THEN judged.bed_rails END AS bed_rails,
    CASE WHEN NOT judged.rail_top_above_surface_mm_old THEN judged.rail_top_above_surface_mm END AS rail_top_above_surface_mm,
    CASE WHEN NOT judged.rail_gap_inside_mm_old THEN judged.rail_gap_inside_mm END AS rail_gap_inside_mm,
    CASE WHEN NOT judged.rail_gap_end_mm_old THEN judged.rail_gap_end_mm END AS rail_gap_end_mm,
    CASE WHEN NOT judged.can_be_turned_by_carer_old THEN judged.can_be_turned_by_carer END AS can_be_turned_by_carer,
    CASE WHEN NOT judged.can_shift_weight_seated_old THEN judged.can_shift_weight_seated END AS can_shift_weight_seated,
    CASE WHEN NOT judged.power_reliable_old THEN judged.power_reliable END AS power_reliable,
    CASE WHEN NOT judged.lung_disease_old THEN judged.lung_disease END AS lung_disease,
    CASE WHEN NOT judged.height_cm_old THEN judged.height_cm END AS height_cm,
    CASE WHEN NOT judged.transfers_old THEN judged.transfers END AS transfers,
    CASE WHEN NOT judged.commode_min_old THEN judged.commode_min END AS commode_min,
    CASE WHEN NOT judged.seat_tilts_old THEN judged.seat_tilts END AS seat_tilts,
    CASE WHEN NOT judged.posture_asymmetry_old THEN judged.posture_asymmetry END AS posture_asymmetry,
    CASE WHEN NOT judged.posture_reviewed_on_old THEN judged.posture_reviewed_on END AS posture_reviewed_on,
    CASE WHEN NOT judged.turning_interval_h_old THEN judged.turning_interval_h END AS turning_interval_h,
    CASE WHEN NOT judged.head_of_bed_deg_old THEN judged.head_of_bed_deg END AS head_of_bed_deg,
    CASE WHEN NOT judged.head_up_reason_old THEN judged.head_up_reason END AS head_up_reason,
    CASE WHEN NOT judged.linen_layers_old THEN judged.linen_layers END AS linen_layers,
    CASE WHEN NOT judged.plastic_backed_pad_old THEN judged.plastic_backed_pad END AS plastic_backed_pad,
    CASE WHEN NOT judged.sling_left_under_old THEN judged.sling_left_under END AS sling_left_under,
    CASE WHEN NOT judged.ring_device_old THEN judged.ring_device END AS ring_device,
    CASE WHEN NOT judged.sits_up_in_bed_min_old THEN judged.sits_up_in_bed_min END AS sits_up_in_bed_min,
    CASE WHEN NOT judged.rehab_goal_mobility_old THEN judged.rehab_goal_mobility END AS rehab_goal_mobility,
    CASE WHEN NOT judged.cannot_keep_off_injury_old THEN judged.cannot_keep_off_injury END AS cannot_keep_off_injury,
    CASE WHEN NOT judged.moisture_old THEN judged.moisture END AS moisture,
    CASE WHEN NOT judged.cold_discomfort_old THEN judged.cold_discomfort END AS cold_discomfort,
    CASE WHEN NOT judged.noise_discomfort_old THEN judged.noise_discomfort END AS noise_discomfort,
    CASE WHEN NOT judged.motion_discomfort_old THEN judged.motion_discomfort END AS motion_discomfort,
    CASE WHEN NOT judged.home_oxygen_old THEN judged.home_oxygen END AS home_oxygen,
    CASE WHEN NOT judged.electric_blanket_old THEN judged.electric_blanket END AS electric_blanket,
    CASE WHEN NOT judged.for_resuscitation_old THEN judged.for_resuscitation END AS for_resuscitation,
    CASE WHEN NOT judged.carers_know_deflate_old THEN judged.carers_know_deflate END AS carers_know_deflate,
    CASE WHEN NOT judged.confused_or_restless_old THEN judged.confused_or_restless END AS confused_or_restless,
    CASE WHEN NOT judged.rails_checked_on_old THEN judged.rails_checked_on END AS rails_checked_on,
    CASE WHEN NOT judged.bed_width_cm_old THEN judged.bed_width_cm END AS bed_width_cm,
    CASE WHEN NOT judged.fluid_balance_risk_old THEN judged.fluid_balance_risk END AS fluid_balance_risk,
    NULLIF(
        CONCAT_WS(
            '; ',
            CASE WHEN judged.weight_kg_old THEN 'weight_kg' END,
            CASE WHEN judged.bed_mobility_old THEN 'bed_mobility' END,
            CASE WHEN judged.hours_seated_old THEN 'hours_seated' END,
            CASE WHEN judged.longest_sit_min_old THEN 'longest_sit_min' END,
            CASE WHEN judged.seating_plan_on_old THEN 'seating_plan_on' END,
            CASE WHEN judged.heel_offloading_old THEN 'heel_offloading' END,
            CASE WHEN judged.unstable_spine_old THEN 'unstable_spine' END,
            CASE WHEN judged.traction_old THEN 'traction' END,
            CASE WHEN judged.smoking_old THEN 'smoking' END,
            CASE WHEN judged.naked_flame_old THEN 'naked_flame' END,
            CASE WHEN judged.uses_emollient_old THEN 'uses_emollient' END,
            CASE WHEN judged.fire_plan_on_old THEN 'fire_plan_on' END,
            CASE WHEN judged.outage_plan_old THEN 'outage_plan' END,
            CASE WHEN judged.bed_rails_old THEN 'bed_rails' END,
            CASE WHEN judged.rail_top_above_surface_mm_old THEN 'rail_top_above_surface_mm' END,
            CASE WHEN judged.rail_gap_inside_mm_old THEN 'rail_gap_inside_mm' END,
            CASE WHEN judged.rail_gap_end_mm_old THEN 'rail_gap_end_mm' END,
            CASE WHEN judged.can_be_turned_by_carer_old THEN 'can_be_turned_by_carer' END,
            CASE WHEN judged.can_shift_weight_seated_old THEN 'can_shift_weight_seated' END,
            CASE WHEN judged.power_reliable_old THEN 'power_reliable' END,
            CASE WHEN judged.lung_disease_old THEN 'lung_disease' END,
            CASE WHEN judged.height_cm_old THEN 'height_cm' END,
            CASE WHEN judged.transfers_old THEN 'transfers' END,
            CASE WHEN judged.commode_min_old THEN 'commode_min' END,
            CASE WHEN judged.seat_tilts_old THEN 'seat_tilts' END,
            CASE WHEN judged.posture_asymmetry_old THEN 'posture_asymmetry' END,
            CASE WHEN judged.posture_reviewed_on_old THEN 'posture_reviewed_on' END,
            CASE WHEN judged.turning_interval_h_old THEN 'turning_interval_h' END,
            CASE WHEN judged.head_of_bed_deg_old THEN 'head_of_bed_deg' END,
            CASE WHEN judged.head_up_reason_old THEN 'head_up_reason' END,
            CASE WHEN judged.linen_layers_old THEN 'linen_layers' END,
            CASE WHEN judged.plastic_backed_pad_old THEN 'plastic_backed_pad' END,
            CASE WHEN judged.sling_left_under_old THEN 'sling_left_under' END,
            CASE WHEN judged.ring_device_old THEN 'ring_device' END,
            CASE WHEN judged.sits_up_in_bed_min_old THEN 'sits_up_in_bed_min' END,
            CASE WHEN judged.rehab_goal_mobility_old THEN 'rehab_goal_mobility' END,
            CASE WHEN judged.cannot_keep_off_injury_old THEN 'cannot_keep_off_injury' END,
            CASE WHEN judged.moisture_old THEN 'moisture' END,
            CASE WHEN judged.cold_discomfort_old THEN 'cold_discomfort' END,
            CASE WHEN judged.noise_discomfort_old THEN 'noise_discomfort' END,
            CASE WHEN judged.motion_discomfort_old THEN 'motion_discomfort' END,
            CASE WHEN judged.home_oxygen_old THEN 'home_oxygen' END,
            CASE WHEN judged.electric_blanket_old THEN 'electric_blanket' END,
            CASE WHEN judged.for_resuscitation_old THEN 'for_resuscitation' END,
            CASE WHEN judged.carers_know_deflate_old THEN 'carers_know_deflate' END,
            CASE WHEN judged.confused_or_restless_old THEN 'confused_or_restless' END,
            CASE WHEN judged.rails_checked_on_old THEN 'rails_checked_on' END,
            CASE WHEN judged.bed_width_cm_old THEN 'bed_width_cm' END,
            CASE WHEN judged.fluid_balance_risk_old THEN 'fluid_balance_risk' END
        ),
        ''
    ) AS too_old
FROM judged
ORDER BY judged.client_id
