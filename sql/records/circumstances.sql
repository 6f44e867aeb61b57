-- question: What was true of each person, each time somebody looked?
-- grain:    one row per circumstances_id
-- key:      circumstances_id
-- inputs:   records.receipts, records.set_aside, records.merged_clients, records.shared_ids, store.circumstances, review.parameters
-- beware:   rows whose event lies after the as-of day are left out, and later dates read as blank
-- columns:
--   circumstances_id             id                                  what was true that day; a blank column was not asked
--   client_id                    id                                  the person, after merges
--   observed_on                  date                                the day that this was true
--   weight_kg                    number                              kg
--   height_cm                    number                              cm
--   hip_width_cm                 number                              cm, widest seated
--   transfers                    code circumstances.transfers        help needed to move from one surface to another
--   bed_mobility                 code circumstances.bed_mobility     help needed to move in bed
--   can_be_turned_by_carer       boolean                             somebody can turn the person by hand
--   can_shift_weight_seated      boolean                             lifts or leans without help
--   hours_in_bed                 number                              h/day
--   hours_seated                 number                              h/day, all seats
--   longest_sit_min              integer                             min
--   commode_min                  integer                             min/day on a hard commode or shower seat
--   sleeps_in_chair              boolean                             spends the night in a chair
--   seat_tilts                   boolean                             the seat can tilt in space
--   posture_asymmetry            boolean                             obliquity, rotation, windswept, scoliosis
--   turning_interval_h           number                              h
--   turning_plan_on              date                                day of the turning plan
--   seating_plan_on              date                                day of the plan for time in the seat
--   head_of_bed_deg              integer                             degrees, usual
--   head_up_reason               boolean                             a medical reason is recorded
--   linen_layers                 integer                             layers between person and surface
--   plastic_backed_pad           boolean                             a plastic-backed pad is in use
--   sling_left_under             boolean                             a sling stays under the person
--   ring_device                  boolean                             ring or donut cushion in use
--   sits_up_in_bed_min           integer                             min, longest
--   posture_reviewed_on          date                                day of the last posture review
--   moisture                     code circumstances.moisture         how often skin is moist
--   heat_discomfort              boolean                             discomfort from heat
--   cold_discomfort              boolean                             discomfort from cold
--   noise_discomfort             boolean                             discomfort from noise
--   motion_discomfort            boolean                             nausea, dizziness or distress from movement
--   unstable_spine               boolean                             the spine is unstable
--   traction                     boolean                             in traction
--   smoking                      code circumstances.smoking          smoking, and with whom by
--   naked_flame                  boolean                             candles, open fire, another's smoking
--   uses_emollient               boolean                             paraffin or other emollient on skin or dressings
--   home_oxygen                  boolean                             oxygen in the home
--   electric_blanket             boolean                             an electric blanket is in use
--   fire_plan_on                 date                                day of the fire plan
--   power_reliable               boolean                             mains power seldom fails
--   outage_plan                  boolean                             a plan for a power cut exists
--   for_resuscitation            boolean                             to be resuscitated
--   carers_know_deflate          boolean                             carers know how to deflate the surface for resuscitation
--   bed_rails                    boolean                             rails are in use
--   rail_top_above_surface_mm    integer                             mm, above the uncompressed surface
--   rail_gap_inside_mm           integer                             mm, largest of zones 1 to 3
--   rail_gap_end_mm              integer                             mm, zone 4
--   rails_checked_on             date                                day the rails were last checked
--   confused_or_restless         boolean                             is confused or restless
--   bed_frame_max_kg             number                              kg, safe working load
--   bed_width_cm                 number                              cm, of the frame
--   heel_offloading              code circumstances.heel_offloading  how heels are kept off the surface
--   skin_checked_on              date                                day the skin was last looked at
--   skin_found                   code circumstances.skin_found       what the look at the skin found
--   palliative                   boolean                             in palliative care
--   comfort_first                boolean                             comfort comes before healing
--   goals_reviewed_on            date                                day the goals of care were last reviewed
--   progressive_condition        boolean                             a condition that gets worse
--   spinal_cord_injury           boolean                             lives with a spinal cord injury
--   diabetes                     boolean                             lives with diabetes
--   peripheral_arterial_disease  boolean                             lives with peripheral arterial disease
--   lung_disease                 boolean                             lives with lung disease
--   fluid_balance_risk           boolean                             fluid balance is at risk
--   nutrition_impaired           boolean                             eats or absorbs too little
--   continence                   code circumstances.continence       what the person is incontinent of
--   sensation_impaired           boolean                             feels pressure or pain less
--   flap_surgery_on              date                                day of flap surgery
--   surgery_on                   date                                day of the last operation
--   fell_on                      date                                day of the last fall
--   acute_illness_on             date                                day an acute illness began
--   cannot_keep_off_injury       boolean                             cannot be positioned off an open injury
--   rehab_goal_mobility          boolean                             mobility is a goal of rehabilitation
--   declined_what                codes circumstances.declined_what   several separated by ;
--   declined_on                  date                                day of declining
--   decline_recorded_fully       boolean                             capacity, reason, alternatives, risk told
--   decline_review_on            date                                day the declined care is to be talked over again
--   updated_at                   timestamp                           when the source last changed the record; the receive time where blank
--   record_status                code circumstances.record_status    FHIR words; blank = final
--   source                       text                                who sent it
SELECT
    CASE
        WHEN shared_ids.record_id IS NULL THEN circumstances.circumstances_id
        ELSE circumstances.circumstances_id || '@' || receipts.source
    END AS circumstances_id,
    COALESCE(merged_clients.client_id, circumstances.client_id) AS client_id,
    circumstances.observed_on,
    circumstances.weight_kg,
    circumstances.height_cm,
    circumstances.hip_width_cm,
    circumstances.transfers,
    circumstances.bed_mobility,
    circumstances.can_be_turned_by_carer,
    circumstances.can_shift_weight_seated,
    circumstances.hours_in_bed,
    circumstances.hours_seated,
    circumstances.longest_sit_min,
    circumstances.commode_min,
    circumstances.sleeps_in_chair,
    circumstances.seat_tilts,
    circumstances.posture_asymmetry,
    circumstances.turning_interval_h,
    CASE WHEN circumstances.turning_plan_on <= parameters.as_of THEN circumstances.turning_plan_on END AS turning_plan_on,
    CASE WHEN circumstances.seating_plan_on <= parameters.as_of THEN circumstances.seating_plan_on END AS seating_plan_on,
    circumstances.head_of_bed_deg,
    circumstances.head_up_reason,
    circumstances.linen_layers,
    circumstances.plastic_backed_pad,
    circumstances.sling_left_under,
    circumstances.ring_device,
    circumstances.sits_up_in_bed_min,
    CASE WHEN circumstances.posture_reviewed_on <= parameters.as_of THEN circumstances.posture_reviewed_on END AS posture_reviewed_on,
    circumstances.moisture,
    circumstances.heat_discomfort,
    circumstances.cold_discomfort,
    circumstances.noise_discomfort,
    circumstances.motion_discomfort,
    circumstances.unstable_spine,
    circumstances.traction,
    circumstances.smoking,
    circumstances.naked_flame,
    circumstances.uses_emollient,
    circumstances.home_oxygen,
    circumstances.electric_blanket,
    CASE WHEN circumstances.fire_plan_on <= parameters.as_of THEN circumstances.fire_plan_on END AS fire_plan_on,
    circumstances.power_reliable,
    circumstances.outage_plan,
    circumstances.for_resuscitation,
    circumstances.carers_know_deflate,
    circumstances.bed_rails,
    circumstances.rail_top_above_surface_mm,
    circumstances.rail_gap_inside_mm,
    circumstances.rail_gap_end_mm,
    CASE WHEN circumstances.rails_checked_on <= parameters.as_of THEN circumstances.rails_checked_on END AS rails_checked_on,
    circumstances.confused_or_restless,
    circumstances.bed_frame_max_kg,
    circumstances.bed_width_cm,
    circumstances.heel_offloading,
    CASE WHEN circumstances.skin_checked_on <= parameters.as_of THEN circumstances.skin_checked_on END AS skin_checked_on,
    circumstances.skin_found,
    circumstances.palliative,
    circumstances.comfort_first,
    CASE WHEN circumstances.goals_reviewed_on <= parameters.as_of THEN circumstances.goals_reviewed_on END AS goals_reviewed_on,
    circumstances.progressive_condition,
    circumstances.spinal_cord_injury,
    circumstances.diabetes,
    circumstances.peripheral_arterial_disease,
    circumstances.lung_disease,
    circumstances.fluid_balance_risk,
    circumstances.nutrition_impaired,
    circumstances.continence,
    circumstances.sensation_impaired,
    CASE WHEN circumstances.flap_surgery_on <= parameters.as_of THEN circumstances.flap_surgery_on END AS flap_surgery_on,
    CASE WHEN circumstances.surgery_on <= parameters.as_of THEN circumstances.surgery_on END AS surgery_on,
    CASE WHEN circumstances.fell_on <= parameters.as_of THEN circumstances.fell_on END AS fell_on,
    CASE WHEN circumstances.acute_illness_on <= parameters.as_of THEN circumstances.acute_illness_on END AS acute_illness_on,
    circumstances.cannot_keep_off_injury,
    circumstances.rehab_goal_mobility,
    circumstances.declined_what,
    CASE WHEN circumstances.declined_on <= parameters.as_of THEN circumstances.declined_on END AS declined_on,
    circumstances.decline_recorded_fully,
    circumstances.decline_review_on,
    CASE
        WHEN CAST(COALESCE(circumstances.updated_at, receipts.received_local) AS DATE) <= parameters.as_of
            THEN COALESCE(circumstances.updated_at, receipts.received_local)
    END AS updated_at,
    circumstances.record_status,
    receipts.source
FROM store.circumstances
INNER JOIN records.receipts ON receipts.file_key = circumstances.file_key AND receipts.feed = 'circumstances'
CROSS JOIN review.parameters
LEFT JOIN records.set_aside
    ON set_aside.receipt_number = receipts.receipt_number AND set_aside.source_row = circumstances.source_row
LEFT JOIN records.merged_clients ON merged_clients.old_client_id = circumstances.client_id
LEFT JOIN records.shared_ids ON shared_ids.feed = 'circumstances' AND shared_ids.record_id = circumstances.circumstances_id
WHERE receipts.standing = 'live' AND set_aside.source_row IS NULL
    AND circumstances.observed_on <= parameters.as_of
