-- question: What is known of each person on the caseload on the as-of day?
-- grain:    one row per person on the caseload
-- key:      client_id
-- inputs:   state.caseload, state.placements, state.risks, state.wounds, state.needs, state.surfaces,
--           state.circumstances_now, state.form_answers, state.declines, state.feeds_heard, state.loans_in_place, records.loans, quality.held, policy.need_levels, review.parameters
-- beware:   counts and has_ columns are blank while their feed is not heard; a person without any placement is on it
-- columns:
--   client_id                          id                                                the person
--   is_placed                          boolean                                           a placement is in force
--   placement_id                       id                                                the newest placement in force
--   care_setting                       code placements.care_setting                      of that placement
--   site                               text                                              of that placement
--   team                               text                                              of that placement
--   clinician                          text                                              of that placement
--   started_on                         date                                              day that placement began
--   days_since_started                 integer                                           days since then
--   planned_end_on                     date                                              its planned last day
--   has_planned_end                    boolean                                           a last day is planned; blank without a placement
--   days_to_planned_end                integer                                           days until then; negative when passed
--   going_to                           code placements.going_to                          where the person is to go
--   sex                                code female|male|other                            blank when not known
--   age_years                          integer                                           years; 90 stands for 90 or more
--   is_adult                           boolean                                           as old as policy calls adult
--   risk_rung                          integer                                           0 low, 1 at risk, 2 high, 3 very high, from the scores; keeps when worse
--   risk_level                         code low|at_risk|high|very_high                   the same as a word
--   clinician_rung                     integer                                           what clinical judgement raises it to; blank where none was given
--   clinician_level                    code low|at_risk|high|very_high                   that judgement
--   risk_scale                         text                                              scale of the score that counts
--   risk_band                          code not_at_risk|at_risk|moderate|high|very_high  its band
--   risk_total                         number                                            its total
--   risk_assessed_on                   date                                              the day it was scored
--   risk_age_days                      integer                                           days since then
--   risk_counts_until_on               date                                              last day on which policy lets that score count in full
--   risk_is_stale                      boolean                                           older than policy allows in this setting
--   risk_is_wrong_for_age              boolean                                           every banded score is on a scale made for another age
--   risk_suits_setting                 boolean                                           that scale is made for where the person is; blank where that is not known
--   has_any_score                      boolean                                           any assessment at all, also an incomplete one
--   has_usable_score                   boolean                                           a banded score on a scale not known to be wrong for the age
--   has_newer_incomplete               boolean                                           a newer assessment of that scale left items out
--   open_injury_count                  integer                                           open pressure injuries
--   has_open_injury                    boolean                                           at least one
--   has_open_injury_lying              boolean                                           one that lying loads
--   has_open_injury_sitting            boolean                                           one that sitting loads
--   has_injury_to_offload              boolean                                           one that must be kept clear of every surface
--   has_device_injury                  boolean                                           one under a device
--   full_thickness_on_trunk_or_pelvis  boolean                                           a full-thickness open injury there; keeps when worse
--   signs_of_infection                 boolean                                           recorded on an open injury; keeps when worse
--   turning_surfaces_injured           integer                                           back, left, right: how many carry stage 2 or worse; keeps when two or more
--   newest_injury_on                   date                                              first day of the newest open injury
--   newest_sitting_injury_on           date                                              first day of the newest open injury that sitting loads
--   days_since_newest_injury           integer                                           days since then
--   days_since_injury_seen             integer                                           days since the longest unseen open injury was looked at
--   has_healed_injury                  boolean                                           an injury was found closed
--   healed_on                          date                                              newest day on which an injury was found closed
--   days_since_healed                  integer                                           days since an injury was last found closed
--   lying_injury_rung                  integer                                           injury rung that the bed must carry; keeps when worst
--   sitting_injury_rung                integer                                           injury rung that the seat must carry; keeps when worst
--   lying_need_rung                    integer                                           need of the bed, 0 to 3, after everything that raises it; keeps when worst
--   sitting_need_rung                  integer                                           need of the seat, likewise
--   lying_loan_count                   integer                                           lying surfaces in place
--   sitting_loan_count                 integer                                           sitting surfaces in place
--   has_lying_surface                  boolean                                           at least one
--   has_sitting_surface                boolean                                           at least one
--   lying_class                        code loans.surface_class                          the weakest lying surface in use; blank when not certain
--   sitting_class                      code loans.surface_class                          the weakest sitting surface in use; blank when not certain
--   lying_issued_on                    date                                              newest day on which a lying surface in place here was issued; blank unless all have one
--   sitting_issued_on                  date                                              likewise of sitting surfaces
--   lying_level                        integer                                           highest risk rung that all lying surfaces in use carry, at most
--   home_lying_level                   integer                                           highest risk rung of a lying surface in place elsewhere that is no facility's; 0 where there is none
--   surface_reviewed_on                date                                              newest clinician's review of any surface in place
--   has_waiting_loan                   boolean                                           a surface is asked for and not yet issued
--   days_waiting                       integer                                           days since the longest waiting one was asked for
--   spinal_cord_injury                 boolean                                           last recorded
--   comfort_first                      boolean                                           last recorded
--   progressive_condition              boolean                                           last recorded
--   sleeps_in_chair                    boolean                                           last recorded
--   form_on                            date                                              newest form of circumstances
--   weight_kg                          number                                            kg, as last weighed
--   bed_mobility                       code circumstances.bed_mobility                   help needed to move in bed; keeps when worse
--   hours_seated                       number                                            h a day, all seats
--   longest_sit_min                    integer                                           min
--   seating_plan_on                    date                                              a seating plan was written
--   heel_offloading                    code circumstances.heel_offloading                what keeps the heels clear; keeps when worse
--   unstable_spine                     boolean                                           the spine is not stable; keeps when worse
--   traction                           boolean                                           in traction; keeps when worse
--   smoking                            code circumstances.smoking                        smokes, and how; keeps when worse
--   naked_flame                        boolean                                           candles, an open fire, another's smoking; keeps when worse
--   uses_emollient                     boolean                                           on skin or bedding; keeps when worse
--   fire_plan_on                       date                                              a fire plan was written
--   outage_plan                        boolean                                           a plan for a power cut; keeps when worse
--   bed_rails                          boolean                                           in use; keeps when worse
--   rail_top_above_surface_mm          integer                                           mm above the uncompressed surface; keeps when worse
--   rail_gap_inside_mm                 integer                                           mm, largest of zones 1 to 3; keeps when worse
--   rail_gap_end_mm                    integer                                           mm, zone 4; keeps when worse
--   can_shift_weight_seated            boolean                                           shifts weight in the seat without help; keeps when worse
--   lung_disease                       boolean                                           last recorded
--   height_cm                          number                                            cm
--   transfers                          code circumstances.transfers                      how the person gets from bed to chair
--   commode_min                        integer                                           min a day on a hard commode or shower seat
--   seat_tilts                         boolean                                           the seat tilts
--   posture_asymmetry                  boolean                                           sits or lies crooked; keeps when worse
--   posture_reviewed_on                date                                              posture was last reviewed
--   turning_interval_h                 number                                            h between turns
--   head_of_bed_deg                    integer                                           degrees, usual
--   head_up_reason                     boolean                                           a medical reason for it is recorded
--   linen_layers                       integer                                           layers between person and surface
--   plastic_backed_pad                 boolean                                           a pad with a plastic back is in use; keeps when worse
--   sling_left_under                   boolean                                           a sling or slide sheet is left under the person; keeps when worse
--   ring_device                        boolean                                           a ring or donut cushion is in use; keeps when worse
--   sits_up_in_bed_min                 integer                                           min, longest time sitting up in bed
--   rehab_goal_mobility                boolean                                           moving or transferring alone is a goal
--   cannot_keep_off_injury             boolean                                           the person cannot be kept off an injury; keeps when worse
--   moisture                           code circumstances.moisture                       how wet the skin is; keeps when worse
--   cold_discomfort                    boolean                                           is cold on the surface; keeps when worse
--   noise_discomfort                   boolean                                           is disturbed by its noise; keeps when worse
--   motion_discomfort                  boolean                                           is made sick, dizzy or distressed by its movement; keeps when worse
--   home_oxygen                        boolean                                           oxygen at home; keeps when worse
--   electric_blanket                   boolean                                           an electric blanket or heat pad is in use; keeps when worse
--   for_resuscitation                  boolean                                           is to be resuscitated; keeps when worse
--   carers_know_deflate                boolean                                           carers know how to let the air out at once; keeps when worse
--   confused_or_restless               boolean                                           is confused or restless; keeps when worse
--   rails_checked_on                   date                                              the rails were last checked
--   bed_width_cm                       number                                            cm
--   fluid_balance_risk                 boolean                                           loses fluid or may run dry; keeps when worse
--   bmi                                number                                            kg/m2, of the weight and height above
--   days_since_posture_review          integer                                           days since posture was reviewed
--   has_flap                           boolean                                           flap surgery is recorded; false where a form was filled in and none is
--   flap_on                            date                                              newest day of it
--   days_since_flap                    integer                                           days since then
--   has_fall                           boolean                                           a fall is recorded; false where a form was filled in and none is
--   fall_on                            date                                              newest day of it
--   days_since_fall                    integer                                           days since then
--   has_illness                        boolean                                           an acute illness is recorded; false where a form was filled in and none is
--   illness_on                         date                                              newest day of it
--   days_since_illness                 integer                                           days since then
--   answers_too_old                    text                                              columns of the form that were answered and are too old to trust, joined by ;
--   has_declined                       boolean                                           the newest form that says so names something declined
--   declined_lying                     boolean                                           a bed surface
--   declined_sitting                   boolean                                           a seat surface
--   declined_heel                      boolean                                           heel protection
--   declined_turning                   boolean                                           being turned
--   declined_on                        date                                              day of that decline
--   decline_recorded_fully             boolean                                           capacity, reason, alternatives and the risk told are recorded
--   decline_review_on                  date                                              day to offer again
--   has_held_row                       boolean                                           a row of this person is held back
--   held_feeds                         text                                              which feeds, joined by ;
--   caps_verdict                       boolean                                           a held injury, circumstance or surface row keeps fit from being judged
WITH held_rows AS (
    SELECT DISTINCT held.client_id, held.feed
    FROM quality.held AS held
    WHERE held.status = 'waiting' AND held.feed IN ('assessments', 'circumstances', 'injuries', 'loans')
),
held_people AS (
    SELECT
        held_rows.client_id,
        string_agg(held_rows.feed, '; ' ORDER BY held_rows.feed) AS held_feeds,
        COUNT(CASE WHEN held_rows.feed <> 'assessments' THEN 1 END) > 0 AS caps_verdict
    FROM held_rows
    GROUP BY held_rows.client_id
),
waiting_loans AS (
    SELECT
        loans.client_id,
        COUNT(*) AS waiting_count,
        MIN(COALESCE(loans.requested_on, loans.need_identified_on)) AS waiting_since
    FROM records.loans AS loans
    WHERE loans.issued_on IS NULL
        AND loans.returned_on IS NULL
        AND COALESCE(loans.loan_status, 'requested') IN ('requested', 'ordered')
    GROUP BY loans.client_id
),
in_place AS (
    SELECT
        kept.client_id,
        MAX(kept.reviewed_on) AS reviewed_on,
        -- One surface without a day of issue may be newer than all that have one.
        CASE
            WHEN COUNT(CASE WHEN kept.is_here AND kept.position = 'lying' AND kept.issued_on IS NULL THEN 1 END) = 0
                THEN MAX(CASE WHEN kept.is_here AND kept.position = 'lying' THEN kept.issued_on END)
        END AS lying_issued_on,
        CASE
            WHEN COUNT(CASE WHEN kept.is_here AND kept.position = 'sitting' AND kept.issued_on IS NULL THEN 1 END) = 0
                THEN MAX(CASE WHEN kept.is_here AND kept.position = 'sitting' THEN kept.issued_on END)
        END AS sitting_issued_on,
        MAX(CASE WHEN NOT kept.is_here AND kept.position = 'lying' AND kept.is_portable THEN kept.risk_level_max END)
            AS home_level
    FROM (
        SELECT
            loans.client_id,
            loans.position,
            loans.risk_level_max,
            COALESCE(loans.is_where_person_is, TRUE) AS is_here,
            COALESCE(full_loans.owner NOT IN ('hospital', 'care_home'), TRUE) AS is_portable,
            full_loans.issued_on,
            full_loans.reviewed_on
        FROM state.loans_in_place AS loans
        INNER JOIN records.loans AS full_loans ON full_loans.loan_id = loans.loan_id
    ) AS kept
    GROUP BY kept.client_id
),
joined AS (
    SELECT
        caseload.client_id,
        caseload.sex,
        caseload.age_years,
        caseload.is_adult,
        caseload.is_placed,
        heard.assessments_heard,
        heard.injuries_heard,
        heard.loans_heard,
        heard.circumstances_heard,
        parameters.as_of,
        COALESCE(wounds.open_count, 0) AS open_count,
        wounds.lying_count,
        wounds.sitting_count,
        COALESCE(wounds.offloading_count > 0, FALSE) AS has_offloading_need,
        COALESCE(wounds.device_count > 0, FALSE) AS has_device_need,
        wounds.deep_certain_count,
        COALESCE(wounds.deep_possible_count, 0) AS deep_possible_count,
        wounds.infected_count,
        COALESCE(wounds.infection_unknown_count, 0) AS infection_unknown_count,
        COALESCE(wounds.turning_surfaces, 0) AS turning_surfaces,
        COALESCE(wounds.turning_unknown_count, 0) AS turning_unknown_count,
        wounds.newest_seen_on,
        wounds.newest_sitting_on,
        wounds.least_seen_on,
        wounds.healed_on
    FROM state.caseload AS caseload
    CROSS JOIN review.parameters AS parameters
    CROSS JOIN state.feeds_heard AS heard
    LEFT JOIN state.wounds AS wounds ON wounds.client_id = caseload.client_id
)
SELECT
    joined.client_id,
    joined.is_placed,
    placements.placement_id,
    placements.care_setting,
    placements.site,
    placements.team,
    placements.clinician,
    placements.started_on,
    CAST(date_diff('day', placements.started_on, joined.as_of) AS INTEGER) AS days_since_started,
    placements.planned_end_on,
    CASE WHEN placements.placement_id IS NOT NULL THEN placements.planned_end_on IS NOT NULL END AS has_planned_end,
    CAST(date_diff('day', joined.as_of, placements.planned_end_on) AS INTEGER) AS days_to_planned_end,
    placements.going_to,
    joined.sex,
    joined.age_years,
    joined.is_adult,
    risks.risk_rung,
    risk_levels.need_level AS risk_level,
    risks.clinician_rung,
    risks.clinician_level,
    risks.risk_scale,
    risks.risk_band,
    risks.risk_total,
    risks.risk_assessed_on,
    risks.risk_age_days,
    risks.risk_assessed_on + risks.risk_max_age_days AS risk_counts_until_on,
    risks.risk_is_stale,
    risks.risk_is_wrong_for_age,
    risks.risk_suits_setting,
    CASE WHEN joined.assessments_heard THEN risks.client_id IS NOT NULL END AS has_any_score,
    CASE WHEN joined.assessments_heard THEN COALESCE(risks.has_usable_score, FALSE) END AS has_usable_score,
    CASE WHEN joined.assessments_heard THEN COALESCE(risks.has_newer_incomplete, FALSE) END AS has_newer_incomplete,
    CASE WHEN joined.injuries_heard THEN CAST(joined.open_count AS INTEGER) END AS open_injury_count,
    CASE WHEN joined.injuries_heard THEN joined.open_count > 0 END AS has_open_injury,
    CASE
        WHEN joined.injuries_heard AND joined.lying_count > 0 THEN TRUE
        WHEN joined.injuries_heard AND bed.injury_at_most = 0 THEN FALSE
    END AS has_open_injury_lying,
    CASE
        WHEN joined.injuries_heard AND joined.sitting_count > 0 THEN TRUE
        WHEN joined.injuries_heard AND seat.injury_at_most = 0 THEN FALSE
    END AS has_open_injury_sitting,
    CASE WHEN joined.injuries_heard THEN joined.has_offloading_need END AS has_injury_to_offload,
    CASE WHEN joined.injuries_heard THEN joined.has_device_need END AS has_device_injury,
    CASE
        WHEN joined.deep_certain_count > 0 THEN TRUE
        WHEN joined.injuries_heard AND joined.deep_possible_count = 0 THEN FALSE
    END AS full_thickness_on_trunk_or_pelvis,
    CASE
        WHEN joined.infected_count > 0 THEN TRUE
        WHEN joined.injuries_heard AND joined.infection_unknown_count = 0 THEN FALSE
    END AS signs_of_infection,
    CASE
        WHEN joined.turning_surfaces >= 2 OR (joined.injuries_heard AND joined.turning_unknown_count = 0)
            THEN CAST(joined.turning_surfaces AS INTEGER)
    END AS turning_surfaces_injured,
    joined.newest_seen_on AS newest_injury_on,
    joined.newest_sitting_on AS newest_sitting_injury_on,
    CAST(date_diff('day', joined.newest_seen_on, joined.as_of) AS INTEGER) AS days_since_newest_injury,
    CAST(date_diff('day', joined.least_seen_on, joined.as_of) AS INTEGER) AS days_since_injury_seen,
    CASE WHEN joined.injuries_heard THEN joined.healed_on IS NOT NULL END AS has_healed_injury,
    joined.healed_on,
    CAST(date_diff('day', joined.healed_on, joined.as_of) AS INTEGER) AS days_since_healed,
    CASE WHEN bed.injury_at_least = bed.injury_at_most THEN bed.injury_at_least END AS lying_injury_rung,
    CASE WHEN seat.injury_at_least = seat.injury_at_most THEN seat.injury_at_least END AS sitting_injury_rung,
    CASE WHEN bed.need_at_least = bed.need_at_most THEN bed.need_at_least END AS lying_need_rung,
    CASE WHEN seat.need_at_least = seat.need_at_most THEN seat.need_at_least END AS sitting_need_rung,
    CASE WHEN joined.loans_heard THEN COALESCE(lying.loan_count, 0) END AS lying_loan_count,
    CASE WHEN joined.loans_heard THEN COALESCE(sitting.loan_count, 0) END AS sitting_loan_count,
    CASE WHEN joined.loans_heard THEN lying.loan_count IS NOT NULL END AS has_lying_surface,
    CASE WHEN joined.loans_heard THEN sitting.loan_count IS NOT NULL END AS has_sitting_surface,
    -- Who sleeps in a chair is not protected by the mattress that stands beside it.
    CASE WHEN NOT COALESCE(circumstances.sleeps_in_chair, FALSE) THEN lying.surface_class END AS lying_class,
    sitting.surface_class AS sitting_class,
    in_place.lying_issued_on,
    in_place.sitting_issued_on,
    lying.risk_level_max AS lying_level,
    CASE WHEN joined.loans_heard THEN COALESCE(in_place.home_level, 0) END AS home_lying_level,
    in_place.reviewed_on AS surface_reviewed_on,
    CASE WHEN joined.loans_heard THEN waiting_loans.waiting_count IS NOT NULL END AS has_waiting_loan,
    CAST(date_diff('day', waiting_loans.waiting_since, joined.as_of) AS INTEGER) AS days_waiting,
    circumstances.spinal_cord_injury,
    circumstances.comfort_first,
    circumstances.progressive_condition,
    circumstances.sleeps_in_chair,
    answers.form_on,
    answers.weight_kg,
    answers.bed_mobility,
    answers.hours_seated,
    answers.longest_sit_min,
    answers.seating_plan_on,
    answers.heel_offloading,
    answers.unstable_spine,
    answers.traction,
    answers.smoking,
    answers.naked_flame,
    answers.uses_emollient,
    answers.fire_plan_on,
    answers.outage_plan,
    answers.bed_rails,
    answers.rail_top_above_surface_mm,
    answers.rail_gap_inside_mm,
    answers.rail_gap_end_mm,
    answers.can_shift_weight_seated,
    answers.lung_disease,
    answers.height_cm,
    answers.transfers,
    answers.commode_min,
    answers.seat_tilts,
    answers.posture_asymmetry,
    answers.posture_reviewed_on,
    answers.turning_interval_h,
    answers.head_of_bed_deg,
    answers.head_up_reason,
    answers.linen_layers,
    answers.plastic_backed_pad,
    answers.sling_left_under,
    answers.ring_device,
    answers.sits_up_in_bed_min,
    answers.rehab_goal_mobility,
    answers.cannot_keep_off_injury,
    answers.moisture,
    answers.cold_discomfort,
    answers.noise_discomfort,
    answers.motion_discomfort,
    answers.home_oxygen,
    answers.electric_blanket,
    answers.for_resuscitation,
    answers.carers_know_deflate,
    answers.confused_or_restless,
    answers.rails_checked_on,
    answers.bed_width_cm,
    answers.fluid_balance_risk,
    CAST(answers.weight_kg * 10000 / NULLIF(answers.height_cm * answers.height_cm, 0) AS DECIMAL(18, 1)) AS bmi,
    CAST(date_diff('day', answers.posture_reviewed_on, joined.as_of) AS INTEGER) AS days_since_posture_review,
    -- An event that no form names did not happen, as long as there is a form and the feed is heard.
    CASE
        WHEN circumstances.flap_surgery_on IS NOT NULL THEN TRUE
        WHEN joined.circumstances_heard AND answers.form_on IS NOT NULL THEN FALSE
    END AS has_flap,
    circumstances.flap_surgery_on AS flap_on,
    CAST(date_diff('day', circumstances.flap_surgery_on, joined.as_of) AS INTEGER) AS days_since_flap,
    CASE
        WHEN circumstances.fell_on IS NOT NULL THEN TRUE
        WHEN joined.circumstances_heard AND answers.form_on IS NOT NULL THEN FALSE
    END AS has_fall,
    circumstances.fell_on AS fall_on,
    CAST(date_diff('day', circumstances.fell_on, joined.as_of) AS INTEGER) AS days_since_fall,
    CASE
        WHEN circumstances.acute_illness_on IS NOT NULL THEN TRUE
        WHEN joined.circumstances_heard AND answers.form_on IS NOT NULL THEN FALSE
    END AS has_illness,
    circumstances.acute_illness_on AS illness_on,
    CAST(date_diff('day', circumstances.acute_illness_on, joined.as_of) AS INTEGER) AS days_since_illness,
    answers.too_old AS answers_too_old,
    CASE WHEN joined.circumstances_heard THEN declines.declined_what IS NOT NULL END AS has_declined,
    CASE
        WHEN joined.circumstances_heard
            THEN COALESCE(';' || REPLACE(declines.declined_what, ' ', '') || ';' LIKE '%;lying;%', FALSE)
    END AS declined_lying,
    CASE
        WHEN joined.circumstances_heard
            THEN COALESCE(';' || REPLACE(declines.declined_what, ' ', '') || ';' LIKE '%;sitting;%', FALSE)
    END AS declined_sitting,
    CASE
        WHEN joined.circumstances_heard
            THEN COALESCE(';' || REPLACE(declines.declined_what, ' ', '') || ';' LIKE '%;heel;%', FALSE)
    END AS declined_heel,
    CASE
        WHEN joined.circumstances_heard
            THEN COALESCE(';' || REPLACE(declines.declined_what, ' ', '') || ';' LIKE '%;turning;%', FALSE)
    END AS declined_turning,
    declines.declined_on,
    declines.decline_recorded_fully,
    declines.decline_review_on,
    held_people.client_id IS NOT NULL AS has_held_row,
    held_people.held_feeds,
    COALESCE(held_people.caps_verdict, FALSE) AS caps_verdict
FROM joined
INNER JOIN state.needs AS bed ON bed.client_id = joined.client_id AND bed.position = 'lying'
INNER JOIN state.needs AS seat ON seat.client_id = joined.client_id AND seat.position = 'sitting'
LEFT JOIN state.placements AS placements ON placements.client_id = joined.client_id AND placements.is_leading
LEFT JOIN state.risks AS risks ON risks.client_id = joined.client_id
LEFT JOIN policy.need_levels AS risk_levels ON risk_levels.rung = risks.risk_rung
LEFT JOIN state.surfaces AS lying ON lying.client_id = joined.client_id AND lying.position = 'lying'
LEFT JOIN state.surfaces AS sitting ON sitting.client_id = joined.client_id AND sitting.position = 'sitting'
LEFT JOIN state.circumstances_now AS circumstances ON circumstances.client_id = joined.client_id
LEFT JOIN state.form_answers AS answers ON answers.client_id = joined.client_id
LEFT JOIN state.declines AS declines ON declines.client_id = joined.client_id
LEFT JOIN in_place ON in_place.client_id = joined.client_id
LEFT JOIN waiting_loans ON waiting_loans.client_id = joined.client_id
LEFT JOIN held_people ON held_people.client_id = joined.client_id
