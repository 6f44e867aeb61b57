-- question: What was last answered to each question of the circumstances form that rules ask about, and when?
-- grain:    one row per person with any circumstances recorded
-- key:      client_id
-- inputs:   records.circumstances
-- beware:   a blank was not asked, so an older answer stands; of two that disagree on one day the one that asks for more care
-- stored:   view
-- columns:
--   client_id                        id                                  the person
--   form_on                          date                                newest form of any kind
--   weight_kg                        number                              kg
--   weight_kg_asked                  date                                day of that answer
--   bed_mobility                     code circumstances.bed_mobility     help needed to move in bed
--   bed_mobility_asked               date                                day of that answer
--   hours_seated                     number                              h a day, all seats
--   hours_seated_asked               date                                day of that answer
--   longest_sit_min                  integer                             min
--   longest_sit_min_asked            date                                day of that answer
--   seating_plan_on                  date                                a seating plan was written
--   seating_plan_on_asked            date                                day of that answer
--   heel_offloading                  code circumstances.heel_offloading  what keeps the heels clear
--   heel_offloading_asked            date                                day of that answer
--   unstable_spine                   boolean                             the spine is not stable
--   unstable_spine_asked             date                                day of that answer
--   traction                         boolean                             in traction
--   traction_asked                   date                                day of that answer
--   smoking                          code circumstances.smoking          smokes, and how
--   smoking_asked                    date                                day of that answer
--   naked_flame                      boolean                             candles, an open fire, another's smoking
--   naked_flame_asked                date                                day of that answer
--   uses_emollient                   boolean                             emollients on skin or bedding
--   uses_emollient_asked             date                                day of that answer
--   fire_plan_on                     date                                a fire plan was written
--   fire_plan_on_asked               date                                day of that answer
--   outage_plan                      boolean                             a plan for a power cut
--   outage_plan_asked                date                                day of that answer
--   bed_rails                        boolean                             bed rails are in use
--   bed_rails_asked                  date                                day of that answer
--   rail_top_above_surface_mm        integer                             mm, above the uncompressed surface
--   rail_top_above_surface_mm_asked  date                                day of that answer
--   rail_gap_inside_mm               integer                             mm, largest of zones 1 to 3
--   rail_gap_inside_mm_asked         date                                day of that answer
--   rail_gap_end_mm                  integer                             mm, zone 4
--   rail_gap_end_mm_asked            date                                day of that answer
--   can_be_turned_by_carer           boolean                             somebody can turn the person by hand
--   can_be_turned_by_carer_asked     date                                day of that answer
--   can_shift_weight_seated          boolean                             shifts weight in the seat without help
--   can_shift_weight_seated_asked    date                                day of that answer
--   power_reliable                   boolean                             the mains can be relied on
--   power_reliable_asked             date                                day of that answer
--   lung_disease                     boolean                             lung disease
--   lung_disease_asked               date                                day of that answer
--   height_cm                        number                              cm
--   height_cm_asked                  date                                day of that answer
--   transfers                        code circumstances.transfers         how the person gets from bed to chair
--   transfers_asked                  date                                day of that answer
--   commode_min                      integer                             min a day on a hard commode or shower seat
--   commode_min_asked                date                                day of that answer
--   seat_tilts                       boolean                             the seat tilts
--   seat_tilts_asked                 date                                day of that answer
--   posture_asymmetry                boolean                             sits or lies crooked
--   posture_asymmetry_asked          date                                day of that answer
--   posture_reviewed_on              date                                posture was last reviewed
--   posture_reviewed_on_asked        date                                day of that answer
--   turning_interval_h               number                              h between turns
--   turning_interval_h_asked         date                                day of that answer
--   head_of_bed_deg                  integer                             degrees, usual
--   head_of_bed_deg_asked            date                                day of that answer
--   head_up_reason                   boolean                             a medical reason for it is recorded
--   head_up_reason_asked             date                                day of that answer
--   linen_layers                     integer                             layers between person and surface
--   linen_layers_asked               date                                day of that answer
--   plastic_backed_pad               boolean                             a pad with a plastic back is in use
--   plastic_backed_pad_asked         date                                day of that answer
--   sling_left_under                 boolean                             a sling or slide sheet is left under the person
--   sling_left_under_asked           date                                day of that answer
--   ring_device                      boolean                             a ring or donut cushion is in use
--   ring_device_asked                date                                day of that answer
--   sits_up_in_bed_min               integer                             min, longest time sitting up in bed
--   sits_up_in_bed_min_asked         date                                day of that answer
--   rehab_goal_mobility              boolean                             moving or transferring alone is a goal
--   rehab_goal_mobility_asked        date                                day of that answer
--   cannot_keep_off_injury           boolean                             the person cannot be kept off an injury
--   cannot_keep_off_injury_asked     date                                day of that answer
--   moisture                         code circumstances.moisture         how wet the skin is
--   moisture_asked                   date                                day of that answer
--   cold_discomfort                  boolean                             is cold on the surface
--   cold_discomfort_asked            date                                day of that answer
--   noise_discomfort                 boolean                             is disturbed by its noise
--   noise_discomfort_asked           date                                day of that answer
--   motion_discomfort                boolean                             is made sick, dizzy or distressed by its movement
--   motion_discomfort_asked          date                                day of that answer
--   home_oxygen                      boolean                             oxygen at home
--   home_oxygen_asked                date                                day of that answer
--   electric_blanket                 boolean                             an electric blanket or heat pad is in use
--   electric_blanket_asked           date                                day of that answer
--   for_resuscitation                boolean                             is to be resuscitated
--   for_resuscitation_asked          date                                day of that answer
--   carers_know_deflate              boolean                             carers know how to let the air out at once
--   carers_know_deflate_asked        date                                day of that answer
--   confused_or_restless             boolean                             is confused or restless
--   confused_or_restless_asked       date                                day of that answer
--   rails_checked_on                 date                                the rails were last checked
--   rails_checked_on_asked           date                                day of that answer
--   bed_width_cm                     number                              cm
--   bed_width_cm_asked               date                                day of that answer
--   fluid_balance_risk               boolean                             loses fluid or may run dry
--   fluid_balance_risk_asked         date                                day of that answer
WITH asked AS (
    SELECT
        forms.client_id,
        MAX(forms.observed_on) AS form_on,
        MAX(CASE WHEN forms.weight_kg IS NOT NULL THEN forms.observed_on END) AS weight_kg_asked,
        MAX(CASE WHEN forms.bed_mobility IS NOT NULL THEN forms.observed_on END) AS bed_mobility_asked,
        MAX(CASE WHEN forms.hours_seated IS NOT NULL THEN forms.observed_on END) AS hours_seated_asked,
        MAX(CASE WHEN forms.longest_sit_min IS NOT NULL THEN forms.observed_on END) AS longest_sit_min_asked,
        MAX(CASE WHEN forms.seating_plan_on IS NOT NULL THEN forms.observed_on END) AS seating_plan_on_asked,
        MAX(CASE WHEN forms.heel_offloading IS NOT NULL THEN forms.observed_on END) AS heel_offloading_asked,
        MAX(CASE WHEN forms.unstable_spine IS NOT NULL THEN forms.observed_on END) AS unstable_spine_asked,
        MAX(CASE WHEN forms.traction IS NOT NULL THEN forms.observed_on END) AS traction_asked,
        MAX(CASE WHEN forms.smoking IS NOT NULL THEN forms.observed_on END) AS smoking_asked,
        MAX(CASE WHEN forms.naked_flame IS NOT NULL THEN forms.observed_on END) AS naked_flame_asked,
        MAX(CASE WHEN forms.uses_emollient IS NOT NULL THEN forms.observed_on END) AS uses_emollient_asked,
        MAX(CASE WHEN forms.fire_plan_on IS NOT NULL THEN forms.observed_on END) AS fire_plan_on_asked,
        MAX(CASE WHEN forms.outage_plan IS NOT NULL THEN forms.observed_on END) AS outage_plan_asked,
        MAX(CASE WHEN forms.bed_rails IS NOT NULL THEN forms.observed_on END) AS bed_rails_asked,
        MAX(CASE WHEN forms.rail_top_above_surface_mm IS NOT NULL THEN forms.observed_on END) AS rail_top_above_surface_mm_asked,
        MAX(CASE WHEN forms.rail_gap_inside_mm IS NOT NULL THEN forms.observed_on END) AS rail_gap_inside_mm_asked,
        MAX(CASE WHEN forms.rail_gap_end_mm IS NOT NULL THEN forms.observed_on END) AS rail_gap_end_mm_asked,
        MAX(CASE WHEN forms.can_be_turned_by_carer IS NOT NULL THEN forms.observed_on END) AS can_be_turned_by_carer_asked,
        MAX(CASE WHEN forms.can_shift_weight_seated IS NOT NULL THEN forms.observed_on END) AS can_shift_weight_seated_asked,
        MAX(CASE WHEN forms.power_reliable IS NOT NULL THEN forms.observed_on END) AS power_reliable_asked,
        MAX(CASE WHEN forms.lung_disease IS NOT NULL THEN forms.observed_on END) AS lung_disease_asked,
        MAX(CASE WHEN forms.height_cm IS NOT NULL THEN forms.observed_on END) AS height_cm_asked,
        MAX(CASE WHEN forms.transfers IS NOT NULL THEN forms.observed_on END) AS transfers_asked,
        MAX(CASE WHEN forms.commode_min IS NOT NULL THEN forms.observed_on END) AS commode_min_asked,
        MAX(CASE WHEN forms.seat_tilts IS NOT NULL THEN forms.observed_on END) AS seat_tilts_asked,
        MAX(CASE WHEN forms.posture_asymmetry IS NOT NULL THEN forms.observed_on END) AS posture_asymmetry_asked,
        MAX(CASE WHEN forms.posture_reviewed_on IS NOT NULL THEN forms.observed_on END) AS posture_reviewed_on_asked,
        MAX(CASE WHEN forms.turning_interval_h IS NOT NULL THEN forms.observed_on END) AS turning_interval_h_asked,
        MAX(CASE WHEN forms.head_of_bed_deg IS NOT NULL THEN forms.observed_on END) AS head_of_bed_deg_asked,
        MAX(CASE WHEN forms.head_up_reason IS NOT NULL THEN forms.observed_on END) AS head_up_reason_asked,
        MAX(CASE WHEN forms.linen_layers IS NOT NULL THEN forms.observed_on END) AS linen_layers_asked,
        MAX(CASE WHEN forms.plastic_backed_pad IS NOT NULL THEN forms.observed_on END) AS plastic_backed_pad_asked,
        MAX(CASE WHEN forms.sling_left_under IS NOT NULL THEN forms.observed_on END) AS sling_left_under_asked,
        MAX(CASE WHEN forms.ring_device IS NOT NULL THEN forms.observed_on END) AS ring_device_asked,
        MAX(CASE WHEN forms.sits_up_in_bed_min IS NOT NULL THEN forms.observed_on END) AS sits_up_in_bed_min_asked,
        MAX(CASE WHEN forms.rehab_goal_mobility IS NOT NULL THEN forms.observed_on END) AS rehab_goal_mobility_asked,
        MAX(CASE WHEN forms.cannot_keep_off_injury IS NOT NULL THEN forms.observed_on END) AS cannot_keep_off_injury_asked,
        MAX(CASE WHEN forms.moisture IS NOT NULL THEN forms.observed_on END) AS moisture_asked,
        MAX(CASE WHEN forms.cold_discomfort IS NOT NULL THEN forms.observed_on END) AS cold_discomfort_asked,
        MAX(CASE WHEN forms.noise_discomfort IS NOT NULL THEN forms.observed_on END) AS noise_discomfort_asked,
        MAX(CASE WHEN forms.motion_discomfort IS NOT NULL THEN forms.observed_on END) AS motion_discomfort_asked,
        MAX(CASE WHEN forms.home_oxygen IS NOT NULL THEN forms.observed_on END) AS home_oxygen_asked,
        MAX(CASE WHEN forms.electric_blanket IS NOT NULL THEN forms.observed_on END) AS electric_blanket_asked,
        MAX(CASE WHEN forms.for_resuscitation IS NOT NULL THEN forms.observed_on END) AS for_resuscitation_asked,
        MAX(CASE WHEN forms.carers_know_deflate IS NOT NULL THEN forms.observed_on END) AS carers_know_deflate_asked,
        MAX(CASE WHEN forms.confused_or_restless IS NOT NULL THEN forms.observed_on END) AS confused_or_restless_asked,
        MAX(CASE WHEN forms.rails_checked_on IS NOT NULL THEN forms.observed_on END) AS rails_checked_on_asked,
        MAX(CASE WHEN forms.bed_width_cm IS NOT NULL THEN forms.observed_on END) AS bed_width_cm_asked,
        MAX(CASE WHEN forms.fluid_balance_risk IS NOT NULL THEN forms.observed_on END) AS fluid_balance_risk_asked
    FROM records.circumstances AS forms
    GROUP BY forms.client_id
),
-- Codes are compared by how much care they ask for, and stand as that number until the last step.
answers AS (
    SELECT
        forms.client_id,
        MAX(CASE WHEN forms.observed_on = asked.weight_kg_asked THEN forms.weight_kg END) AS weight_kg,
        MAX(
            CASE WHEN forms.observed_on = asked.bed_mobility_asked
                THEN CASE forms.bed_mobility
                    WHEN 'independent' THEN 1
                    WHEN 'limited' THEN 2
                    WHEN 'needs_help' THEN 3
                    WHEN 'immobile' THEN 4
                END
            END
        ) AS bed_mobility,
        MAX(CASE WHEN forms.observed_on = asked.hours_seated_asked THEN forms.hours_seated END) AS hours_seated,
        MAX(CASE WHEN forms.observed_on = asked.longest_sit_min_asked THEN forms.longest_sit_min END)
            AS longest_sit_min,
        MIN(CASE WHEN forms.observed_on = asked.seating_plan_on_asked THEN forms.seating_plan_on END)
            AS seating_plan_on,
        MAX(
            CASE WHEN forms.observed_on = asked.heel_offloading_asked
                THEN CASE forms.heel_offloading
                    WHEN 'device' THEN 1
                    WHEN 'pillow' THEN 2
                    WHEN 'none' THEN 3
                END
            END
        ) AS heel_offloading,
        MAX(CASE WHEN forms.observed_on = asked.unstable_spine_asked THEN CAST(forms.unstable_spine AS INTEGER) END)
            AS unstable_spine,
        MAX(CASE WHEN forms.observed_on = asked.traction_asked THEN CAST(forms.traction AS INTEGER) END) AS traction,
        MAX(
            CASE WHEN forms.observed_on = asked.smoking_asked
                THEN CASE forms.smoking
                    WHEN 'no' THEN 1
                    WHEN 'supervised' THEN 2
                    WHEN 'unsupervised' THEN 3
                    WHEN 'in_bed' THEN 4
                END
            END
        ) AS smoking,
        MAX(CASE WHEN forms.observed_on = asked.naked_flame_asked THEN CAST(forms.naked_flame AS INTEGER) END)
            AS naked_flame,
        MAX(CASE WHEN forms.observed_on = asked.uses_emollient_asked THEN CAST(forms.uses_emollient AS INTEGER) END)
            AS uses_emollient,
        MIN(CASE WHEN forms.observed_on = asked.fire_plan_on_asked THEN forms.fire_plan_on END) AS fire_plan_on,
        MIN(CASE WHEN forms.observed_on = asked.outage_plan_asked THEN CAST(forms.outage_plan AS INTEGER) END)
            AS outage_plan,
        MAX(CASE WHEN forms.observed_on = asked.bed_rails_asked THEN CAST(forms.bed_rails AS INTEGER) END)
            AS bed_rails,
        MIN(CASE WHEN forms.observed_on = asked.rail_top_above_surface_mm_asked THEN forms.rail_top_above_surface_mm END)
            AS rail_top_above_surface_mm,
        MAX(CASE WHEN forms.observed_on = asked.rail_gap_inside_mm_asked THEN forms.rail_gap_inside_mm END)
            AS rail_gap_inside_mm,
        MAX(CASE WHEN forms.observed_on = asked.rail_gap_end_mm_asked THEN forms.rail_gap_end_mm END)
            AS rail_gap_end_mm,
        MIN(CASE WHEN forms.observed_on = asked.can_be_turned_by_carer_asked THEN CAST(forms.can_be_turned_by_carer AS INTEGER) END)
            AS can_be_turned_by_carer,
        MIN(CASE WHEN forms.observed_on = asked.can_shift_weight_seated_asked THEN CAST(forms.can_shift_weight_seated AS INTEGER) END)
            AS can_shift_weight_seated,
        MIN(CASE WHEN forms.observed_on = asked.power_reliable_asked THEN CAST(forms.power_reliable AS INTEGER) END)
            AS power_reliable,
        MAX(CASE WHEN forms.observed_on = asked.lung_disease_asked THEN CAST(forms.lung_disease AS INTEGER) END)
            AS lung_disease,
        MIN(CASE WHEN forms.observed_on = asked.height_cm_asked THEN forms.height_cm END)
            AS height_cm,
        MAX(
            CASE WHEN forms.observed_on = asked.transfers_asked
                THEN CASE forms.transfers
                    WHEN 'independent' THEN 1
                    WHEN 'standby' THEN 2
                    WHEN 'assisted' THEN 3
                    WHEN 'hoisted' THEN 4
                END
            END
        ) AS transfers,
        MAX(CASE WHEN forms.observed_on = asked.commode_min_asked THEN forms.commode_min END)
            AS commode_min,
        MIN(CASE WHEN forms.observed_on = asked.seat_tilts_asked THEN CAST(forms.seat_tilts AS INTEGER) END)
            AS seat_tilts,
        MAX(CASE WHEN forms.observed_on = asked.posture_asymmetry_asked THEN CAST(forms.posture_asymmetry AS INTEGER) END)
            AS posture_asymmetry,
        MIN(CASE WHEN forms.observed_on = asked.posture_reviewed_on_asked THEN forms.posture_reviewed_on END)
            AS posture_reviewed_on,
        MAX(CASE WHEN forms.observed_on = asked.turning_interval_h_asked THEN forms.turning_interval_h END)
            AS turning_interval_h,
        MAX(CASE WHEN forms.observed_on = asked.head_of_bed_deg_asked THEN forms.head_of_bed_deg END)
            AS head_of_bed_deg,
        MIN(CASE WHEN forms.observed_on = asked.head_up_reason_asked THEN CAST(forms.head_up_reason AS INTEGER) END)
            AS head_up_reason,
        MAX(CASE WHEN forms.observed_on = asked.linen_layers_asked THEN forms.linen_layers END)
            AS linen_layers,
        MAX(CASE WHEN forms.observed_on = asked.plastic_backed_pad_asked THEN CAST(forms.plastic_backed_pad AS INTEGER) END)
            AS plastic_backed_pad,
        MAX(CASE WHEN forms.observed_on = asked.sling_left_under_asked THEN CAST(forms.sling_left_under AS INTEGER) END)
            AS sling_left_under,
        MAX(CASE WHEN forms.observed_on = asked.ring_device_asked THEN CAST(forms.ring_device AS INTEGER) END)
            AS ring_device,
        MAX(CASE WHEN forms.observed_on = asked.sits_up_in_bed_min_asked THEN forms.sits_up_in_bed_min END)
            AS sits_up_in_bed_min,
        MAX(CASE WHEN forms.observed_on = asked.rehab_goal_mobility_asked THEN CAST(forms.rehab_goal_mobility AS INTEGER) END)
            AS rehab_goal_mobility,
        MAX(CASE WHEN forms.observed_on = asked.cannot_keep_off_injury_asked THEN CAST(forms.cannot_keep_off_injury AS INTEGER) END)
            AS cannot_keep_off_injury,
        MAX(
            CASE WHEN forms.observed_on = asked.moisture_asked
                THEN CASE forms.moisture
                    WHEN 'dry' THEN 1
                    WHEN 'occasional' THEN 2
                    WHEN 'often' THEN 3
                    WHEN 'constant' THEN 4
                END
            END
        ) AS moisture,
        MAX(CASE WHEN forms.observed_on = asked.cold_discomfort_asked THEN CAST(forms.cold_discomfort AS INTEGER) END)
            AS cold_discomfort,
        MAX(CASE WHEN forms.observed_on = asked.noise_discomfort_asked THEN CAST(forms.noise_discomfort AS INTEGER) END)
            AS noise_discomfort,
        MAX(CASE WHEN forms.observed_on = asked.motion_discomfort_asked THEN CAST(forms.motion_discomfort AS INTEGER) END)
            AS motion_discomfort,
        MAX(CASE WHEN forms.observed_on = asked.home_oxygen_asked THEN CAST(forms.home_oxygen AS INTEGER) END)
            AS home_oxygen,
        MAX(CASE WHEN forms.observed_on = asked.electric_blanket_asked THEN CAST(forms.electric_blanket AS INTEGER) END)
            AS electric_blanket,
        MAX(CASE WHEN forms.observed_on = asked.for_resuscitation_asked THEN CAST(forms.for_resuscitation AS INTEGER) END)
            AS for_resuscitation,
        MIN(CASE WHEN forms.observed_on = asked.carers_know_deflate_asked THEN CAST(forms.carers_know_deflate AS INTEGER) END)
            AS carers_know_deflate,
        MAX(CASE WHEN forms.observed_on = asked.confused_or_restless_asked THEN CAST(forms.confused_or_restless AS INTEGER) END)
            AS confused_or_restless,
        MIN(CASE WHEN forms.observed_on = asked.rails_checked_on_asked THEN forms.rails_checked_on END)
            AS rails_checked_on,
        MIN(CASE WHEN forms.observed_on = asked.bed_width_cm_asked THEN forms.bed_width_cm END)
            AS bed_width_cm,
        MAX(CASE WHEN forms.observed_on = asked.fluid_balance_risk_asked THEN CAST(forms.fluid_balance_risk AS INTEGER) END)
            AS fluid_balance_risk
    FROM records.circumstances AS forms
    INNER JOIN asked ON asked.client_id = forms.client_id
    GROUP BY forms.client_id
)
SELECT
    asked.client_id,
    asked.form_on,
    answers.weight_kg,
    asked.weight_kg_asked,
    CASE answers.bed_mobility
        WHEN 1 THEN 'independent'
        WHEN 2 THEN 'limited'
        WHEN 3 THEN 'needs_help'
        WHEN 4 THEN 'immobile'
    END AS bed_mobility,
    asked.bed_mobility_asked,
    answers.hours_seated,
    asked.hours_seated_asked,
    answers.longest_sit_min,
    asked.longest_sit_min_asked,
    answers.seating_plan_on,
    asked.seating_plan_on_asked,
    CASE answers.heel_offloading
        WHEN 1 THEN 'device'
        WHEN 2 THEN 'pillow'
        WHEN 3 THEN 'none'
    END AS heel_offloading,
    asked.heel_offloading_asked,
    answers.unstable_spine = 1 AS unstable_spine,
    asked.unstable_spine_asked,
    answers.traction = 1 AS traction,
    asked.traction_asked,
    CASE answers.smoking
        WHEN 1 THEN 'no'
        WHEN 2 THEN 'supervised'
        WHEN 3 THEN 'unsupervised'
        WHEN 4 THEN 'in_bed'
    END AS smoking,
    asked.smoking_asked,
    answers.naked_flame = 1 AS naked_flame,
    asked.naked_flame_asked,
    answers.uses_emollient = 1 AS uses_emollient,
    asked.uses_emollient_asked,
    answers.fire_plan_on,
    asked.fire_plan_on_asked,
    answers.outage_plan = 1 AS outage_plan,
    asked.outage_plan_asked,
    answers.bed_rails = 1 AS bed_rails,
    asked.bed_rails_asked,
    answers.rail_top_above_surface_mm,
    asked.rail_top_above_surface_mm_asked,
    answers.rail_gap_inside_mm,
    asked.rail_gap_inside_mm_asked,
    answers.rail_gap_end_mm,
    asked.rail_gap_end_mm_asked,
    answers.can_be_turned_by_carer = 1 AS can_be_turned_by_carer,
    asked.can_be_turned_by_carer_asked,
    answers.can_shift_weight_seated = 1 AS can_shift_weight_seated,
    asked.can_shift_weight_seated_asked,
    answers.power_reliable = 1 AS power_reliable,
    asked.power_reliable_asked,
    answers.lung_disease = 1 AS lung_disease,
    asked.lung_disease_asked,
    answers.height_cm,
    asked.height_cm_asked,
    CASE answers.transfers
        WHEN 1 THEN 'independent'
        WHEN 2 THEN 'standby'
        WHEN 3 THEN 'assisted'
        WHEN 4 THEN 'hoisted'
    END AS transfers,
    asked.transfers_asked,
    answers.commode_min,
    asked.commode_min_asked,
    answers.seat_tilts = 1 AS seat_tilts,
    asked.seat_tilts_asked,
    answers.posture_asymmetry = 1 AS posture_asymmetry,
    asked.posture_asymmetry_asked,
    answers.posture_reviewed_on,
    asked.posture_reviewed_on_asked,
    answers.turning_interval_h,
    asked.turning_interval_h_asked,
    answers.head_of_bed_deg,
    asked.head_of_bed_deg_asked,
    answers.head_up_reason = 1 AS head_up_reason,
    asked.head_up_reason_asked,
    answers.linen_layers,
    asked.linen_layers_asked,
    answers.plastic_backed_pad = 1 AS plastic_backed_pad,
    asked.plastic_backed_pad_asked,
    answers.sling_left_under = 1 AS sling_left_under,
    asked.sling_left_under_asked,
    answers.ring_device = 1 AS ring_device,
    asked.ring_device_asked,
    answers.sits_up_in_bed_min,
    asked.sits_up_in_bed_min_asked,
    answers.rehab_goal_mobility = 1 AS rehab_goal_mobility,
    asked.rehab_goal_mobility_asked,
    answers.cannot_keep_off_injury = 1 AS cannot_keep_off_injury,
    asked.cannot_keep_off_injury_asked,
    CASE answers.moisture
        WHEN 1 THEN 'dry'
        WHEN 2 THEN 'occasional'
        WHEN 3 THEN 'often'
        WHEN 4 THEN 'constant'
    END AS moisture,
    asked.moisture_asked,
    answers.cold_discomfort = 1 AS cold_discomfort,
    asked.cold_discomfort_asked,
    answers.noise_discomfort = 1 AS noise_discomfort,
    asked.noise_discomfort_asked,
    answers.motion_discomfort = 1 AS motion_discomfort,
    asked.motion_discomfort_asked,
    answers.home_oxygen = 1 AS home_oxygen,
    asked.home_oxygen_asked,
    answers.electric_blanket = 1 AS electric_blanket,
    asked.electric_blanket_asked,
    answers.for_resuscitation = 1 AS for_resuscitation,
    asked.for_resuscitation_asked,
    answers.carers_know_deflate = 1 AS carers_know_deflate,
    asked.carers_know_deflate_asked,
    answers.confused_or_restless = 1 AS confused_or_restless,
    asked.confused_or_restless_asked,
    answers.rails_checked_on,
    asked.rails_checked_on_asked,
    answers.bed_width_cm,
    asked.bed_width_cm_asked,
    answers.fluid_balance_risk = 1 AS fluid_balance_risk,
    asked.fluid_balance_risk_asked
FROM asked
INNER JOIN answers ON answers.client_id = asked.client_id
ORDER BY asked.client_id
