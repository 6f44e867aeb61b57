-- question: Which figures does each person count in?
-- grain:    one row per person on the caseload
-- key:      client_id
-- inputs:   state.clients, state.wounds, state.loans, fit.provision, audit.raised, audit.reassessments, audit.new_injuries,
--           state.circumstances_now, policy.parameters, review.parameters
-- beware:   nothing here looks at the audit before; audit.tally sums it up
-- columns:
--   client_id                      id       the person
--   team                           text     the person's team
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
WITH raised_people AS (
    SELECT
        raised.client_id,
        MAX(
            CASE
                WHEN raised.severity = 'urgent' AND raised.list_name = 'people' AND raised.raised_status IN ('open', 'returned')
                    THEN 1
                ELSE 0
            END
        ) AS urgent,
        MAX(
            CASE
                WHEN raised.severity = 'soon' AND raised.list_name = 'people' AND raised.raised_status IN ('open', 'returned')
                    THEN 1
                ELSE 0
            END
        ) AS soon,
        COUNT(CASE WHEN raised.raised_status IN ('open', 'returned') THEN 1 END) AS open_count,
        COUNT(CASE WHEN raised.raised_status = 'accepted' THEN 1 END) AS accepted_count,
        COUNT(CASE WHEN raised.raised_status = 'returned' THEN 1 END) AS returned_count
    FROM audit.raised AS raised
    -- What one sentence tells for the whole service is nobody's row, so it is in nobody's count.
    WHERE NOT raised.is_told_once
    GROUP BY raised.client_id
),
new_people AS (
    SELECT
        new_injuries.client_id,
        COUNT(*) AS injuries,
        COUNT(CASE WHEN new_injuries.is_full_thickness THEN 1 END) AS deep,
        COUNT(CASE WHEN new_injuries.origin = 'present' THEN 1 END) AS present,
        COUNT(CASE WHEN new_injuries.origin = 'acquired' THEN 1 END) AS acquired,
        COUNT(CASE WHEN new_injuries.origin = 'unknown' THEN 1 END) AS origin_unknown
    FROM audit.new_injuries AS new_injuries
    GROUP BY new_injuries.client_id
),
late_services AS (
    SELECT DISTINCT raised.client_id, raised.loan_id FROM audit.raised AS raised WHERE raised.rule = 'service_overdue'
),
powered AS (
    SELECT
        loans.client_id,
        COUNT(CASE WHEN loans.is_powered THEN 1 END) AS surface_count,
        COUNT(CASE WHEN loans.is_powered AND NOT COALESCE(circumstances.outage_plan, FALSE) THEN 1 END) AS without_plan,
        COUNT(CASE WHEN loans.owner = 'loan_service' THEN late_services.loan_id END) AS services_overdue
    FROM state.loans AS loans
    LEFT JOIN state.circumstances_now AS circumstances ON circumstances.client_id = loans.client_id
    LEFT JOIN late_services ON late_services.client_id = loans.client_id AND late_services.loan_id = loans.loan_id
    GROUP BY loans.client_id
),
limits AS (
    SELECT MAX(dates.as_of + CAST(parameters.amount AS INTEGER)) AS last_on
    FROM policy.parameters AS parameters
    CROSS JOIN review.parameters AS dates
    WHERE parameters.name = 'due_soon_days'
),
per_person AS (
    SELECT
        clients.client_id,
        clients.team,
        1 AS people,
        CASE WHEN clients.is_placed THEN 0 ELSE 1 END AS unplaced_people,
        COALESCE(raised_people.urgent, 0) AS urgent_people,
        CASE
            WHEN raised_people.urgent = 0
                THEN raised_people.soon
            ELSE 0
        END AS soon_people,
        COALESCE(raised_people.open_count, 0) AS findings_open,
        COALESCE(raised_people.accepted_count, 0) AS findings_accepted,
        COALESCE(raised_people.returned_count, 0) AS findings_returned,
        CASE WHEN reassessments.status IN ('overdue', 'never') THEN 1 ELSE 0 END AS overdue_people,
        CASE WHEN reassessments.status = 'never' THEN 1 ELSE 0 END AS never_people,
        CASE
            WHEN reassessments.status IN ('overdue', 'never') AND injured.open_count > 0
                THEN 1
            ELSE 0
        END AS overdue_with_wound,
        CASE
            WHEN reassessments.status IN ('due', 'not_due') AND reassessments.due_on <= limits.last_on
                THEN 1
            ELSE 0
        END AS due_four_weeks,
        CASE WHEN reassessments.status = 'cannot_tell' THEN 1 ELSE 0 END AS cannot_tell_reassessment,
        CASE WHEN bed.verdict <> 'unknown' THEN 1 ELSE 0 END AS lying_judged,
        CASE WHEN bed.verdict = 'unknown' THEN 1 ELSE 0 END AS lying_cannot_judge,
        CASE WHEN bed.verdict = 'matched' THEN 1 ELSE 0 END AS lying_matched,
        CASE WHEN bed.verdict = 'under_provided' THEN 1 ELSE 0 END AS lying_under,
        CASE WHEN bed.verdict = 'over_provided' THEN 1 ELSE 0 END AS lying_over,
        CASE WHEN bed.verdict = 'contraindicated' THEN 1 ELSE 0 END AS lying_contraindicated,
        CASE WHEN seat.is_asked THEN 1 ELSE 0 END AS sitting_people,
        CASE WHEN seat.is_asked AND seat.verdict <> 'unknown' THEN 1 ELSE 0 END AS sitting_judged,
        CASE WHEN seat.is_asked AND seat.verdict = 'unknown' THEN 1 ELSE 0 END AS sitting_cannot_judge,
        CASE WHEN seat.verdict = 'matched' THEN 1 ELSE 0 END AS sitting_matched,
        CASE WHEN seat.verdict = 'under_provided' THEN 1 ELSE 0 END AS sitting_under,
        CASE WHEN seat.verdict = 'over_provided' THEN 1 ELSE 0 END AS sitting_over,
        CASE WHEN seat.verdict = 'contraindicated' THEN 1 ELSE 0 END AS sitting_contraindicated,
        COALESCE(new_people.injuries, 0) AS new_injuries,
        CASE WHEN new_people.client_id IS NOT NULL THEN 1 ELSE 0 END AS new_injury_people,
        COALESCE(new_people.deep, 0) AS new_injuries_full_thickness,
        COALESCE(new_people.present, 0) AS new_injuries_present,
        COALESCE(new_people.acquired, 0) AS new_injuries_acquired,
        COALESCE(new_people.origin_unknown, 0) AS new_injuries_origin_unknown,
        CASE WHEN clients.days_waiting IS NOT NULL OR clients.has_waiting_loan THEN 1 ELSE 0 END AS waiting_people,
        clients.days_waiting AS waiting_longest_days,
        CASE
            WHEN (clients.days_waiting IS NOT NULL OR clients.has_waiting_loan) AND clients.full_thickness_on_trunk_or_pelvis
                THEN 1
            ELSE 0
        END AS waiting_full_thickness_people,
        COALESCE(powered.surface_count, 0) AS powered_surfaces,
        COALESCE(powered.without_plan, 0) AS powered_without_plan,
        COALESCE(powered.services_overdue, 0) AS services_overdue,
        CASE WHEN clients.days_to_planned_end BETWEEN 0 AND 14 THEN 1 ELSE 0 END AS leaving_soon,
        CASE WHEN clients.has_held_row THEN 1 ELSE 0 END AS held_people
    FROM state.clients AS clients
    CROSS JOIN limits
    INNER JOIN audit.reassessments AS reassessments ON reassessments.client_id = clients.client_id
    INNER JOIN fit.provision AS bed ON bed.client_id = clients.client_id AND bed.position = 'lying'
    INNER JOIN fit.provision AS seat ON seat.client_id = clients.client_id AND seat.position = 'sitting'
    LEFT JOIN raised_people ON raised_people.client_id = clients.client_id
    LEFT JOIN state.wounds AS injured ON injured.client_id = clients.client_id
    LEFT JOIN new_people ON new_people.client_id = clients.client_id
    LEFT JOIN powered ON powered.client_id = clients.client_id
)
SELECT
    per_person.client_id,
    per_person.team,
    CAST(per_person.people AS INTEGER) AS people,
    CAST(per_person.unplaced_people AS INTEGER) AS unplaced_people,
    CAST(per_person.urgent_people AS INTEGER) AS urgent_people,
    CAST(per_person.soon_people AS INTEGER) AS soon_people,
    CAST(per_person.findings_open AS INTEGER) AS findings_open,
    CAST(per_person.findings_accepted AS INTEGER) AS findings_accepted,
    CAST(per_person.findings_returned AS INTEGER) AS findings_returned,
    CAST(per_person.overdue_people AS INTEGER) AS overdue_people,
    CAST(per_person.never_people AS INTEGER) AS never_people,
    CAST(per_person.overdue_with_wound AS INTEGER) AS overdue_with_wound,
    CAST(per_person.due_four_weeks AS INTEGER) AS due_four_weeks,
    CAST(per_person.cannot_tell_reassessment AS INTEGER) AS cannot_tell_reassessment,
    CAST(per_person.lying_judged AS INTEGER) AS lying_judged,
    CAST(per_person.lying_cannot_judge AS INTEGER) AS lying_cannot_judge,
    CAST(per_person.lying_matched AS INTEGER) AS lying_matched,
    CAST(per_person.lying_under AS INTEGER) AS lying_under,
    CAST(per_person.lying_over AS INTEGER) AS lying_over,
    CAST(per_person.lying_contraindicated AS INTEGER) AS lying_contraindicated,
    CAST(per_person.sitting_people AS INTEGER) AS sitting_people,
    CAST(per_person.sitting_judged AS INTEGER) AS sitting_judged,
    CAST(per_person.sitting_cannot_judge AS INTEGER) AS sitting_cannot_judge,
    CAST(per_person.sitting_matched AS INTEGER) AS sitting_matched,
    CAST(per_person.sitting_under AS INTEGER) AS sitting_under,
    CAST(per_person.sitting_over AS INTEGER) AS sitting_over,
    CAST(per_person.sitting_contraindicated AS INTEGER) AS sitting_contraindicated,
    CAST(per_person.new_injuries AS INTEGER) AS new_injuries,
    CAST(per_person.new_injury_people AS INTEGER) AS new_injury_people,
    CAST(per_person.new_injuries_full_thickness AS INTEGER) AS new_injuries_full_thickness,
    CAST(per_person.new_injuries_present AS INTEGER) AS new_injuries_present,
    CAST(per_person.new_injuries_acquired AS INTEGER) AS new_injuries_acquired,
    CAST(per_person.new_injuries_origin_unknown AS INTEGER) AS new_injuries_origin_unknown,
    CAST(per_person.waiting_people AS INTEGER) AS waiting_people,
    CAST(per_person.waiting_longest_days AS INTEGER) AS waiting_longest_days,
    CAST(per_person.waiting_full_thickness_people AS INTEGER) AS waiting_full_thickness_people,
    CAST(per_person.powered_surfaces AS INTEGER) AS powered_surfaces,
    CAST(per_person.powered_without_plan AS INTEGER) AS powered_without_plan,
    CAST(per_person.services_overdue AS INTEGER) AS services_overdue,
    CAST(per_person.leaving_soon AS INTEGER) AS leaving_soon,
    CAST(per_person.held_people AS INTEGER) AS held_people
FROM per_person
ORDER BY per_person.client_id
