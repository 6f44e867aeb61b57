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
        ) AS lung_disease_old
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
            CASE WHEN judged.lung_disease_old THEN 'lung_disease' END
        ),
        ''
    ) AS too_old
FROM judged
ORDER BY judged.client_id
