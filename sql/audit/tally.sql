-- question: How does each team, and the whole caseload, stand in figures?
-- grain:    one row per team, one for people without a team, and one for everybody
-- key:      is_total, team?
-- inputs:   audit.person_figures
-- beware:   nothing here looks at the audit before; of the two rows without a team the one with is_total is everybody
-- columns:
--   is_total                       boolean  the row of everybody
--   team                           text     the team; blank for everybody and for people without one
--   people                         integer  people on the caseload
--   unplaced_people                integer  of them, without a placement in force
--   urgent_people                  integer  people with an open urgent finding on the list of people
--   soon_people                    integer  people with an open soon finding on that list and no urgent one
--   findings_open                  integer  open findings of any severity, hidden ones left out
--   findings_accepted              integer  findings quiet for now: accepted, said not to apply, comfort first or declined
--   findings_returned              integer  findings that somebody said were corrected, and the record disagrees
--   overdue_people                 integer  people whose reassessment is overdue, or who were never assessed in time
--   never_people                   integer  of them, never assessed
--   overdue_with_wound             integer  of the overdue, with an open pressure injury known
--   due_four_weeks                 integer  people not overdue whose reassessment falls due within the look-ahead of the policy
--   cannot_tell_reassessment       integer  people for whom no interval can be told
--   lying_judged                   integer  people whose lying surface can be judged
--   lying_cannot_judge             integer  people whose lying surface cannot be judged
--   lying_matched                  integer  of the judged, what carries the need
--   lying_under                    integer  of the judged, below need
--   lying_over                     integer  of the judged, above need
--   lying_contraindicated          integer  of the judged, unsafe as set up
--   sitting_people                 integer  people whose seat is asked about: a seat on record or an injury that sitting loads
--   sitting_judged                 integer  of them, whose seat can be judged
--   sitting_cannot_judge           integer  of them, whose seat cannot be judged
--   sitting_matched                integer  of the judged, what carries the need
--   sitting_under                  integer  of the judged, below need
--   sitting_over                   integer  of the judged, above need
--   sitting_contraindicated        integer  of the judged, unsafe as set up
--   new_injuries                   integer  pressure injuries first seen since the audit before
--   new_injury_people              integer  people who have one
--   new_injuries_full_thickness    integer  of the new injuries, full thickness or deep
--   new_injuries_present           integer  of the new injuries, there when the person came
--   new_injuries_acquired          integer  of the new injuries, arisen on the caseload
--   new_injuries_origin_unknown    integer  of the new injuries, origin not recorded
--   waiting_people                 integer  people who wait for a surface
--   waiting_longest_days           integer  days that the longest of them has waited
--   waiting_full_thickness_people  integer  of them, with a full-thickness injury on trunk or pelvis
--   powered_surfaces               integer  powered surfaces out with these people
--   powered_without_plan           integer  of them, with nobody having recorded a power-cut plan
--   services_overdue               integer  services overdue on the loan service's own surfaces
--   leaving_soon                   integer  people whose placement is planned to end within 14 days
--   held_people                    integer  people with a row held back
--   overdue_percent                integer  overdue people of all people, rounded; blank under 50 people, where it would mislead
WITH summed AS (
    SELECT
        FALSE AS is_total,
        people.team,
        SUM(people.people) AS people,
        SUM(people.unplaced_people) AS unplaced_people,
        SUM(people.urgent_people) AS urgent_people,
        SUM(people.soon_people) AS soon_people,
        SUM(people.findings_open) AS findings_open,
        SUM(people.findings_accepted) AS findings_accepted,
        SUM(people.findings_returned) AS findings_returned,
        SUM(people.overdue_people) AS overdue_people,
        SUM(people.never_people) AS never_people,
        SUM(people.overdue_with_wound) AS overdue_with_wound,
        SUM(people.due_four_weeks) AS due_four_weeks,
        SUM(people.cannot_tell_reassessment) AS cannot_tell_reassessment,
        SUM(people.lying_judged) AS lying_judged,
        SUM(people.lying_cannot_judge) AS lying_cannot_judge,
        SUM(people.lying_matched) AS lying_matched,
        SUM(people.lying_under) AS lying_under,
        SUM(people.lying_over) AS lying_over,
        SUM(people.lying_contraindicated) AS lying_contraindicated,
        SUM(people.sitting_people) AS sitting_people,
        SUM(people.sitting_judged) AS sitting_judged,
        SUM(people.sitting_cannot_judge) AS sitting_cannot_judge,
        SUM(people.sitting_matched) AS sitting_matched,
        SUM(people.sitting_under) AS sitting_under,
        SUM(people.sitting_over) AS sitting_over,
        SUM(people.sitting_contraindicated) AS sitting_contraindicated,
        SUM(people.new_injuries) AS new_injuries,
        SUM(people.new_injury_people) AS new_injury_people,
        SUM(people.new_injuries_full_thickness) AS new_injuries_full_thickness,
        SUM(people.new_injuries_present) AS new_injuries_present,
        SUM(people.new_injuries_acquired) AS new_injuries_acquired,
        SUM(people.new_injuries_origin_unknown) AS new_injuries_origin_unknown,
        SUM(people.waiting_people) AS waiting_people,
        MAX(people.waiting_longest_days) AS waiting_longest_days,
        SUM(people.waiting_full_thickness_people) AS waiting_full_thickness_people,
        SUM(people.powered_surfaces) AS powered_surfaces,
        SUM(people.powered_without_plan) AS powered_without_plan,
        SUM(people.services_overdue) AS services_overdue,
        SUM(people.leaving_soon) AS leaving_soon,
        SUM(people.held_people) AS held_people
    FROM audit.person_figures AS people
    GROUP BY people.team
    UNION ALL
    SELECT
        TRUE AS is_total,
        CAST(NULL AS VARCHAR) AS team,
        SUM(people.people) AS people,
        SUM(people.unplaced_people) AS unplaced_people,
        SUM(people.urgent_people) AS urgent_people,
        SUM(people.soon_people) AS soon_people,
        SUM(people.findings_open) AS findings_open,
        SUM(people.findings_accepted) AS findings_accepted,
        SUM(people.findings_returned) AS findings_returned,
        SUM(people.overdue_people) AS overdue_people,
        SUM(people.never_people) AS never_people,
        SUM(people.overdue_with_wound) AS overdue_with_wound,
        SUM(people.due_four_weeks) AS due_four_weeks,
        SUM(people.cannot_tell_reassessment) AS cannot_tell_reassessment,
        SUM(people.lying_judged) AS lying_judged,
        SUM(people.lying_cannot_judge) AS lying_cannot_judge,
        SUM(people.lying_matched) AS lying_matched,
        SUM(people.lying_under) AS lying_under,
        SUM(people.lying_over) AS lying_over,
        SUM(people.lying_contraindicated) AS lying_contraindicated,
        SUM(people.sitting_people) AS sitting_people,
        SUM(people.sitting_judged) AS sitting_judged,
        SUM(people.sitting_cannot_judge) AS sitting_cannot_judge,
        SUM(people.sitting_matched) AS sitting_matched,
        SUM(people.sitting_under) AS sitting_under,
        SUM(people.sitting_over) AS sitting_over,
        SUM(people.sitting_contraindicated) AS sitting_contraindicated,
        SUM(people.new_injuries) AS new_injuries,
        SUM(people.new_injury_people) AS new_injury_people,
        SUM(people.new_injuries_full_thickness) AS new_injuries_full_thickness,
        SUM(people.new_injuries_present) AS new_injuries_present,
        SUM(people.new_injuries_acquired) AS new_injuries_acquired,
        SUM(people.new_injuries_origin_unknown) AS new_injuries_origin_unknown,
        SUM(people.waiting_people) AS waiting_people,
        MAX(people.waiting_longest_days) AS waiting_longest_days,
        SUM(people.waiting_full_thickness_people) AS waiting_full_thickness_people,
        SUM(people.powered_surfaces) AS powered_surfaces,
        SUM(people.powered_without_plan) AS powered_without_plan,
        SUM(people.services_overdue) AS services_overdue,
        SUM(people.leaving_soon) AS leaving_soon,
        SUM(people.held_people) AS held_people
    FROM audit.person_figures AS people
)
SELECT
    summed.is_total,
    summed.team,
    CAST(COALESCE(summed.people, 0) AS INTEGER) AS people,
    CAST(COALESCE(summed.unplaced_people, 0) AS INTEGER) AS unplaced_people,
    CAST(COALESCE(summed.urgent_people, 0) AS INTEGER) AS urgent_people,
    CAST(COALESCE(summed.soon_people, 0) AS INTEGER) AS soon_people,
    CAST(COALESCE(summed.findings_open, 0) AS INTEGER) AS findings_open,
    CAST(COALESCE(summed.findings_accepted, 0) AS INTEGER) AS findings_accepted,
    CAST(COALESCE(summed.findings_returned, 0) AS INTEGER) AS findings_returned,
    CAST(COALESCE(summed.overdue_people, 0) AS INTEGER) AS overdue_people,
    CAST(COALESCE(summed.never_people, 0) AS INTEGER) AS never_people,
    CAST(COALESCE(summed.overdue_with_wound, 0) AS INTEGER) AS overdue_with_wound,
    CAST(COALESCE(summed.due_four_weeks, 0) AS INTEGER) AS due_four_weeks,
    CAST(COALESCE(summed.cannot_tell_reassessment, 0) AS INTEGER) AS cannot_tell_reassessment,
    CAST(COALESCE(summed.lying_judged, 0) AS INTEGER) AS lying_judged,
    CAST(COALESCE(summed.lying_cannot_judge, 0) AS INTEGER) AS lying_cannot_judge,
    CAST(COALESCE(summed.lying_matched, 0) AS INTEGER) AS lying_matched,
    CAST(COALESCE(summed.lying_under, 0) AS INTEGER) AS lying_under,
    CAST(COALESCE(summed.lying_over, 0) AS INTEGER) AS lying_over,
    CAST(COALESCE(summed.lying_contraindicated, 0) AS INTEGER) AS lying_contraindicated,
    CAST(COALESCE(summed.sitting_people, 0) AS INTEGER) AS sitting_people,
    CAST(COALESCE(summed.sitting_judged, 0) AS INTEGER) AS sitting_judged,
    CAST(COALESCE(summed.sitting_cannot_judge, 0) AS INTEGER) AS sitting_cannot_judge,
    CAST(COALESCE(summed.sitting_matched, 0) AS INTEGER) AS sitting_matched,
    CAST(COALESCE(summed.sitting_under, 0) AS INTEGER) AS sitting_under,
    CAST(COALESCE(summed.sitting_over, 0) AS INTEGER) AS sitting_over,
    CAST(COALESCE(summed.sitting_contraindicated, 0) AS INTEGER) AS sitting_contraindicated,
    CAST(COALESCE(summed.new_injuries, 0) AS INTEGER) AS new_injuries,
    CAST(COALESCE(summed.new_injury_people, 0) AS INTEGER) AS new_injury_people,
    CAST(COALESCE(summed.new_injuries_full_thickness, 0) AS INTEGER) AS new_injuries_full_thickness,
    CAST(COALESCE(summed.new_injuries_present, 0) AS INTEGER) AS new_injuries_present,
    CAST(COALESCE(summed.new_injuries_acquired, 0) AS INTEGER) AS new_injuries_acquired,
    CAST(COALESCE(summed.new_injuries_origin_unknown, 0) AS INTEGER) AS new_injuries_origin_unknown,
    CAST(COALESCE(summed.waiting_people, 0) AS INTEGER) AS waiting_people,
    CAST(summed.waiting_longest_days AS INTEGER) AS waiting_longest_days,
    CAST(COALESCE(summed.waiting_full_thickness_people, 0) AS INTEGER) AS waiting_full_thickness_people,
    CAST(COALESCE(summed.powered_surfaces, 0) AS INTEGER) AS powered_surfaces,
    CAST(COALESCE(summed.powered_without_plan, 0) AS INTEGER) AS powered_without_plan,
    CAST(COALESCE(summed.services_overdue, 0) AS INTEGER) AS services_overdue,
    CAST(COALESCE(summed.leaving_soon, 0) AS INTEGER) AS leaving_soon,
    CAST(COALESCE(summed.held_people, 0) AS INTEGER) AS held_people,
    CASE
        WHEN summed.people >= 50
            THEN CAST(ROUND(100.0 * summed.overdue_people / NULLIF(summed.people, 0), 0) AS INTEGER)
    END AS overdue_percent
FROM summed
ORDER BY summed.is_total DESC, summed.team NULLS LAST
