-- question: What was last answered to each question of the circumstances form that rules ask about, and when?
-- grain:    one row per person with any circumstances recorded
-- key:      client_id
-- inputs:   records.circumstances
-- beware:   a blank was not asked, so an older answer stands; of two that disagree on one day the one that asks for more care
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
        MAX(CASE WHEN forms.lung_disease IS NOT NULL THEN forms.observed_on END) AS lung_disease_asked
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
            AS lung_disease
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
    asked.lung_disease_asked
FROM asked
INNER JOIN answers ON answers.client_id = asked.client_id
ORDER BY asked.client_id
