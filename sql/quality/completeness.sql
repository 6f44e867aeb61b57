-- question: Which optional columns do the exports fill, and how often?
-- grain:    one row per feed and optional column
-- key:      feed, column_name
-- inputs:   records.clients, records.placements, records.assessments, records.circumstances, records.injuries, records.loans, records.actions
-- beware:   counts records as they stand on the as-of day; required columns are never blank, or the row would be held
-- columns:
--   feed         text     the feed
--   column_name  text     the column
--   rows         integer  records
--   filled       integer  records in which the column is not blank
WITH summed_up AS (
    SELECT
        'clients' AS feed,
        COUNT(*) AS record_count,
        [
            {'name': 'sex', 'filled': COUNT(sex)},
            {'name': 'age_years', 'filled': COUNT(age_years)},
            {'name': 'age_months', 'filled': COUNT(age_months)}
        ] AS entries
    FROM records.clients
    UNION ALL
    SELECT
        'placements' AS feed,
        COUNT(*) AS record_count,
        [
            {'name': 'site', 'filled': COUNT(site)},
            {'name': 'team', 'filled': COUNT(team)},
            {'name': 'clinician', 'filled': COUNT(clinician)},
            {'name': 'referred_on', 'filled': COUNT(referred_on)},
            {'name': 'referral_urgency', 'filled': COUNT(referral_urgency)},
            {'name': 'first_contact_at', 'filled': COUNT(first_contact_at)},
            {'name': 'planned_end_on', 'filled': COUNT(planned_end_on)},
            {'name': 'going_to', 'filled': COUNT(going_to)},
            {'name': 'ended_at', 'filled': COUNT(ended_at)},
            {'name': 'end_reason', 'filled': COUNT(end_reason)}
        ] AS entries
    FROM records.placements
    UNION ALL
    SELECT
        'assessments' AS feed,
        COUNT(*) AS record_count,
        [
            {'name': 'recorded_total', 'filled': COUNT(recorded_total)},
            {'name': 'recorded_band', 'filled': COUNT(recorded_band)},
            {'name': 'clinician_level', 'filled': COUNT(clinician_level)},
            {'name': 'assessor', 'filled': COUNT(assessor)},
            {'name': 'assessor_role', 'filled': COUNT(assessor_role)}
        ] AS entries
    FROM records.assessments
    UNION ALL
    SELECT
        'circumstances' AS feed,
        COUNT(*) AS record_count,
        [
            {'name': 'weight_kg', 'filled': COUNT(weight_kg)},
            {'name': 'height_cm', 'filled': COUNT(height_cm)},
            {'name': 'hip_width_cm', 'filled': COUNT(hip_width_cm)},
            {'name': 'transfers', 'filled': COUNT(transfers)},
            {'name': 'bed_mobility', 'filled': COUNT(bed_mobility)},
            {'name': 'can_be_turned_by_carer', 'filled': COUNT(can_be_turned_by_carer)},
            {'name': 'can_shift_weight_seated', 'filled': COUNT(can_shift_weight_seated)},
            {'name': 'hours_in_bed', 'filled': COUNT(hours_in_bed)},
            {'name': 'hours_seated', 'filled': COUNT(hours_seated)},
            {'name': 'longest_sit_min', 'filled': COUNT(longest_sit_min)},
            {'name': 'commode_min', 'filled': COUNT(commode_min)},
            {'name': 'sleeps_in_chair', 'filled': COUNT(sleeps_in_chair)},
            {'name': 'seat_tilts', 'filled': COUNT(seat_tilts)},
            {'name': 'posture_asymmetry', 'filled': COUNT(posture_asymmetry)},
            {'name': 'turning_interval_h', 'filled': COUNT(turning_interval_h)},
            {'name': 'turning_plan_on', 'filled': COUNT(turning_plan_on)},
            {'name': 'seating_plan_on', 'filled': COUNT(seating_plan_on)},
            {'name': 'head_of_bed_deg', 'filled': COUNT(head_of_bed_deg)},
            {'name': 'head_up_reason', 'filled': COUNT(head_up_reason)},
            {'name': 'linen_layers', 'filled': COUNT(linen_layers)},
            {'name': 'plastic_backed_pad', 'filled': COUNT(plastic_backed_pad)},
            {'name': 'sling_left_under', 'filled': COUNT(sling_left_under)},
            {'name': 'ring_device', 'filled': COUNT(ring_device)},
            {'name': 'sits_up_in_bed_min', 'filled': COUNT(sits_up_in_bed_min)},
            {'name': 'posture_reviewed_on', 'filled': COUNT(posture_reviewed_on)},
            {'name': 'moisture', 'filled': COUNT(moisture)},
            {'name': 'heat_discomfort', 'filled': COUNT(heat_discomfort)},
            {'name': 'cold_discomfort', 'filled': COUNT(cold_discomfort)},
            {'name': 'noise_discomfort', 'filled': COUNT(noise_discomfort)},
            {'name': 'motion_discomfort', 'filled': COUNT(motion_discomfort)},
            {'name': 'unstable_spine', 'filled': COUNT(unstable_spine)},
            {'name': 'traction', 'filled': COUNT(traction)},
            {'name': 'smoking', 'filled': COUNT(smoking)},
            {'name': 'naked_flame', 'filled': COUNT(naked_flame)},
            {'name': 'uses_emollient', 'filled': COUNT(uses_emollient)},
            {'name': 'home_oxygen', 'filled': COUNT(home_oxygen)},
            {'name': 'electric_blanket', 'filled': COUNT(electric_blanket)},
            {'name': 'fire_plan_on', 'filled': COUNT(fire_plan_on)},
            {'name': 'power_reliable', 'filled': COUNT(power_reliable)},
            {'name': 'outage_plan', 'filled': COUNT(outage_plan)},
            {'name': 'for_resuscitation', 'filled': COUNT(for_resuscitation)},
            {'name': 'carers_know_deflate', 'filled': COUNT(carers_know_deflate)},
            {'name': 'bed_rails', 'filled': COUNT(bed_rails)},
            {'name': 'rail_top_above_surface_mm', 'filled': COUNT(rail_top_above_surface_mm)},
            {'name': 'rail_gap_inside_mm', 'filled': COUNT(rail_gap_inside_mm)},
            {'name': 'rail_gap_end_mm', 'filled': COUNT(rail_gap_end_mm)},
            {'name': 'rails_checked_on', 'filled': COUNT(rails_checked_on)},
            {'name': 'confused_or_restless', 'filled': COUNT(confused_or_restless)},
            {'name': 'bed_frame_max_kg', 'filled': COUNT(bed_frame_max_kg)},
            {'name': 'bed_width_cm', 'filled': COUNT(bed_width_cm)},
            {'name': 'heel_offloading', 'filled': COUNT(heel_offloading)},
            {'name': 'skin_checked_on', 'filled': COUNT(skin_checked_on)},
            {'name': 'skin_found', 'filled': COUNT(skin_found)},
            {'name': 'palliative', 'filled': COUNT(palliative)},
            {'name': 'comfort_first', 'filled': COUNT(comfort_first)},
            {'name': 'goals_reviewed_on', 'filled': COUNT(goals_reviewed_on)},
            {'name': 'progressive_condition', 'filled': COUNT(progressive_condition)},
            {'name': 'spinal_cord_injury', 'filled': COUNT(spinal_cord_injury)},
            {'name': 'diabetes', 'filled': COUNT(diabetes)},
            {'name': 'peripheral_arterial_disease', 'filled': COUNT(peripheral_arterial_disease)},
            {'name': 'lung_disease', 'filled': COUNT(lung_disease)},
            {'name': 'fluid_balance_risk', 'filled': COUNT(fluid_balance_risk)},
            {'name': 'nutrition_impaired', 'filled': COUNT(nutrition_impaired)},
            {'name': 'continence', 'filled': COUNT(continence)},
            {'name': 'sensation_impaired', 'filled': COUNT(sensation_impaired)},
            {'name': 'flap_surgery_on', 'filled': COUNT(flap_surgery_on)},
            {'name': 'surgery_on', 'filled': COUNT(surgery_on)},
            {'name': 'fell_on', 'filled': COUNT(fell_on)},
            {'name': 'acute_illness_on', 'filled': COUNT(acute_illness_on)},
            {'name': 'cannot_keep_off_injury', 'filled': COUNT(cannot_keep_off_injury)},
            {'name': 'rehab_goal_mobility', 'filled': COUNT(rehab_goal_mobility)},
            {'name': 'declined_what', 'filled': COUNT(declined_what)},
            {'name': 'declined_on', 'filled': COUNT(declined_on)},
            {'name': 'decline_recorded_fully', 'filled': COUNT(decline_recorded_fully)},
            {'name': 'decline_review_on', 'filled': COUNT(decline_review_on)}
        ] AS entries
    FROM records.circumstances
    UNION ALL
    SELECT
        'injuries' AS feed,
        COUNT(*) AS record_count,
        [
            {'name': 'side', 'filled': COUNT(side)},
            {'name': 'icd10_code', 'filled': COUNT(icd10_code)},
            {'name': 'cause', 'filled': COUNT(cause)},
            {'name': 'present_on_admission', 'filled': COUNT(present_on_admission)},
            {'name': 'first_noticed_on', 'filled': COUNT(first_noticed_on)},
            {'name': 'device_related', 'filled': COUNT(device_related)},
            {'name': 'device_kind', 'filled': COUNT(device_kind)},
            {'name': 'length_cm', 'filled': COUNT(length_cm)},
            {'name': 'width_cm', 'filled': COUNT(width_cm)},
            {'name': 'depth_cm', 'filled': COUNT(depth_cm)},
            {'name': 'undermining_cm', 'filled': COUNT(undermining_cm)},
            {'name': 'exudate', 'filled': COUNT(exudate)},
            {'name': 'tissue', 'filled': COUNT(tissue)},
            {'name': 'recorded_push_total', 'filled': COUNT(recorded_push_total)},
            {'name': 'large', 'filled': COUNT(large)},
            {'name': 'signs_of_infection', 'filled': COUNT(signs_of_infection)},
            {'name': 'debrided_on', 'filled': COUNT(debrided_on)},
            {'name': 'status', 'filled': COUNT(status)}
        ] AS entries
    FROM records.injuries
    UNION ALL
    SELECT
        'loans' AS feed,
        COUNT(*) AS record_count,
        [
            {'name': 'device_id', 'filled': COUNT(device_id)},
            {'name': 'is_overlay', 'filled': COUNT(is_overlay)},
            {'name': 'loan_status', 'filled': COUNT(loan_status)},
            {'name': 'placement_id', 'filled': COUNT(placement_id)},
            {'name': 'owner', 'filled': COUNT(owner)},
            {'name': 'need_identified_on', 'filled': COUNT(need_identified_on)},
            {'name': 'requested_on', 'filled': COUNT(requested_on)},
            {'name': 'issued_on', 'filled': COUNT(issued_on)},
            {'name': 'returned_on', 'filled': COUNT(returned_on)},
            {'name': 'end_reason', 'filled': COUNT(end_reason)},
            {'name': 'max_user_kg', 'filled': COUNT(max_user_kg)},
            {'name': 'min_user_kg', 'filled': COUNT(min_user_kg)},
            {'name': 'width_cm', 'filled': COUNT(width_cm)},
            {'name': 'made_on', 'filled': COUNT(made_on)},
            {'name': 'inspected_on', 'filled': COUNT(inspected_on)},
            {'name': 'serviced_on', 'filled': COUNT(serviced_on)},
            {'name': 'electrical_test_on', 'filled': COUNT(electrical_test_on)},
            {'name': 'state_seen_on', 'filled': COUNT(state_seen_on)},
            {'name': 'in_use', 'filled': COUNT(in_use)},
            {'name': 'cover_condition', 'filled': COUNT(cover_condition)},
            {'name': 'mode', 'filled': COUNT(mode)},
            {'name': 'mode_hours', 'filled': COUNT(mode_hours)},
            {'name': 'cycle_minutes', 'filled': COUNT(cycle_minutes)},
            {'name': 'pump_state', 'filled': COUNT(pump_state)},
            {'name': 'setting', 'filled': COUNT(setting)},
            {'name': 'setting_kind', 'filled': COUNT(setting_kind)},
            {'name': 'leak_seen', 'filled': COUNT(leak_seen)},
            {'name': 'power_leads_safe', 'filled': COUNT(power_leads_safe)},
            {'name': 'fitted_correctly', 'filled': COUNT(fitted_correctly)},
            {'name': 'cover_opened_on', 'filled': COUNT(cover_opened_on)},
            {'name': 'bottoming_check', 'filled': COUNT(bottoming_check)},
            {'name': 'bottoming_method', 'filled': COUNT(bottoming_method)},
            {'name': 'bottoming_checked_on', 'filled': COUNT(bottoming_checked_on)},
            {'name': 'trial_started_on', 'filled': COUNT(trial_started_on)},
            {'name': 'trial_reviewed_on', 'filled': COUNT(trial_reviewed_on)},
            {'name': 'trial_outcome', 'filled': COUNT(trial_outcome)},
            {'name': 'reviewed_on', 'filled': COUNT(reviewed_on)},
            {'name': 'skin_checked_on', 'filled': COUNT(skin_checked_on)},
            {'name': 'justification_recorded', 'filled': COUNT(justification_recorded)}
        ] AS entries
    FROM records.loans
    UNION ALL
    SELECT
        'actions' AS feed,
        COUNT(*) AS record_count,
        [
            {'name': 'loan_id', 'filled': COUNT(loan_id)},
            {'name': 'injury_id', 'filled': COUNT(injury_id)},
            {'name': 'review_on', 'filled': COUNT(review_on)},
            {'name': 'role', 'filled': COUNT(role)}
        ] AS entries
    FROM records.actions
),
opened AS (
    SELECT
        feed,
        record_count,
        UNNEST(entries) AS entry
    FROM summed_up
)
SELECT
    feed,
    opened.entry.name AS column_name,
    CAST(record_count AS INTEGER) AS rows,
    CAST(opened.entry.filled AS INTEGER) AS filled
FROM opened
