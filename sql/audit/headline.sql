-- question: Which figures does the weekly audit print in its sentences, and what were they in the audit before?
-- grain:    one row
-- key:      as_of
-- inputs:   audit.tally, audit.raised, audit.changes, audit.to_ask, quality.files, quality.held, policy.rules_switched_off,
--           policy.rules, records.actions, review.previous_tally, review.previous_raised, review.parameters
-- beware:   previous_ figures are blank in a first audit, which is not the same as none
-- columns:
--   as_of                                   date     the day the caseload is looked at
--   people                                  integer  people on the caseload
--   unplaced_people                         integer  of them, without a placement in force
--   urgent_people                           integer  people with an open urgent finding on the list of people
--   soon_people                             integer  people with an open soon finding on that list and no urgent one
--   findings_open                           integer  open findings of any severity, hidden ones left out
--   findings_accepted                       integer  findings quiet for now: accepted, said not to apply, comfort first or declined
--   findings_returned                       integer  findings that somebody said were corrected, and the record disagrees
--   overdue_people                          integer  people whose reassessment is overdue, or who were never assessed in time
--   never_people                            integer  of them, never assessed
--   overdue_with_wound                      integer  of the overdue, with an open pressure injury known
--   due_four_weeks                          integer  people not overdue whose reassessment falls due within the look-ahead of the policy
--   cannot_tell_reassessment                integer  people for whom no interval can be told
--   lying_judged                            integer  people whose lying surface can be judged
--   lying_cannot_judge                      integer  people whose lying surface cannot be judged
--   lying_matched                           integer  of the judged, what carries the need
--   lying_under                             integer  of the judged, below need
--   lying_over                              integer  of the judged, above need
--   lying_contraindicated                   integer  of the judged, unsafe as set up
--   sitting_people                          integer  people whose seat is asked about: a seat on record or an injury that sitting loads
--   sitting_judged                          integer  of them, whose seat can be judged
--   sitting_cannot_judge                    integer  of them, whose seat cannot be judged
--   sitting_matched                         integer  of the judged, what carries the need
--   sitting_under                           integer  of the judged, below need
--   sitting_over                            integer  of the judged, above need
--   sitting_contraindicated                 integer  of the judged, unsafe as set up
--   new_injuries                            integer  pressure injuries first seen since the audit before
--   new_injury_people                       integer  people who have one
--   new_injuries_full_thickness             integer  of the new injuries, full thickness or deep
--   new_injuries_present                    integer  of the new injuries, there when the person came
--   new_injuries_acquired                   integer  of the new injuries, arisen on the caseload
--   new_injuries_origin_unknown             integer  of the new injuries, origin not recorded
--   waiting_people                          integer  people who wait for a surface
--   waiting_longest_days                    integer  days that the longest of them has waited
--   waiting_full_thickness_people           integer  of them, with a full-thickness injury on trunk or pelvis
--   powered_surfaces                        integer  powered surfaces out with these people
--   powered_without_plan                    integer  of them, with nobody having recorded a power-cut plan
--   services_overdue                        integer  services overdue on the loan service's own surfaces
--   leaving_soon                            integer  people whose placement is planned to end within 14 days
--   held_people                             integer  people with a row held back
--   overdue_percent                         integer  overdue people of all people, rounded; blank under 50 people, where it would mislead
--   findings_new                            integer  findings that are new since the audit before; blank in a first audit
--   findings_standing                       integer  findings that stood then and still stand; blank in a first audit
--   findings_resolved                       integer  findings resolved since; blank in a first audit
--   urgent_people_new                       integer  people with an open urgent finding who had none; blank in a first audit
--   urgent_people_standing                  integer  people with one who had one; blank in a first audit
--   urgent_people_resolved                  integer  people who had one and have none; blank in a first audit
--   people_with_questions                   integer  people about whom a rule waits for a fact that a visit can settle
--   rows_received                           integer  rows read from all files
--   rows_used                               integer  rows that count, or would had nothing newer replaced them
--   rows_held                               integer  rows held back and waiting for a correction
--   rows_waiting                            integer  rows whose person is not known yet
--   held_injury_rows                        integer  held rows about wounds
--   held_injury_people                      integer  people whom they are about, where that can be read
--   rules_switched_off                      integer  rules that policy has switched off
--   answers_of_no_rule                      integer  answers of clinicians that name a rule which the policy does not have
--   previous_people                         integer  people in the audit before
--   previous_unplaced_people                integer  unplaced_people in the audit before
--   previous_urgent_people                  integer  urgent_people in the audit before
--   previous_soon_people                    integer  soon_people in the audit before
--   previous_findings_open                  integer  findings_open in the audit before
--   previous_findings_accepted              integer  findings_accepted in the audit before
--   previous_findings_returned              integer  findings_returned in the audit before
--   previous_overdue_people                 integer  overdue_people in the audit before
--   previous_never_people                   integer  never_people in the audit before
--   previous_overdue_with_wound             integer  overdue_with_wound in the audit before
--   previous_due_four_weeks                 integer  due_four_weeks in the audit before
--   previous_cannot_tell_reassessment       integer  cannot_tell_reassessment in the audit before
--   previous_lying_judged                   integer  lying_judged in the audit before
--   previous_lying_cannot_judge             integer  lying_cannot_judge in the audit before
--   previous_lying_matched                  integer  lying_matched in the audit before
--   previous_lying_under                    integer  lying_under in the audit before
--   previous_lying_over                     integer  lying_over in the audit before
--   previous_lying_contraindicated          integer  lying_contraindicated in the audit before
--   previous_sitting_people                 integer  sitting_people in the audit before
--   previous_sitting_judged                 integer  sitting_judged in the audit before
--   previous_sitting_cannot_judge           integer  sitting_cannot_judge in the audit before
--   previous_sitting_matched                integer  sitting_matched in the audit before
--   previous_sitting_under                  integer  sitting_under in the audit before
--   previous_sitting_over                   integer  sitting_over in the audit before
--   previous_sitting_contraindicated        integer  sitting_contraindicated in the audit before
--   previous_new_injuries                   integer  new_injuries in the audit before
--   previous_new_injury_people              integer  new_injury_people in the audit before
--   previous_new_injuries_full_thickness    integer  new_injuries_full_thickness in the audit before
--   previous_new_injuries_present           integer  new_injuries_present in the audit before
--   previous_new_injuries_acquired          integer  new_injuries_acquired in the audit before
--   previous_new_injuries_origin_unknown    integer  new_injuries_origin_unknown in the audit before
--   previous_waiting_people                 integer  waiting_people in the audit before
--   previous_waiting_longest_days           integer  waiting_longest_days in the audit before
--   previous_waiting_full_thickness_people  integer  waiting_full_thickness_people in the audit before
--   previous_powered_surfaces               integer  powered_surfaces in the audit before
--   previous_powered_without_plan           integer  powered_without_plan in the audit before
--   previous_services_overdue               integer  services_overdue in the audit before
--   previous_leaving_soon                   integer  leaving_soon in the audit before
--   previous_held_people                    integer  held_people in the audit before
WITH urgent_now AS (
    SELECT DISTINCT raised.client_id
    FROM audit.raised AS raised
    WHERE raised.severity = 'urgent' AND raised.list_name = 'people' AND raised.raised_status IN ('open', 'returned')
),
urgent_then AS (
    SELECT DISTINCT previous.client_id
    FROM review.previous_raised AS previous
    WHERE previous.severity = 'urgent'
        AND previous.list_name = 'people'
        AND previous.raised_status IN ('open', 'returned')
),
urgent_compared AS (
    SELECT
        COUNT(CASE WHEN urgent_then.client_id IS NULL THEN 1 END) AS arisen,
        COUNT(CASE WHEN urgent_now.client_id IS NOT NULL AND urgent_then.client_id IS NOT NULL THEN 1 END) AS standing,
        COUNT(CASE WHEN urgent_now.client_id IS NULL THEN 1 END) AS resolved
    FROM urgent_now
    FULL OUTER JOIN urgent_then ON urgent_then.client_id = urgent_now.client_id
),
changed AS (
    SELECT
        COUNT(CASE WHEN changes.change = 'new' THEN 1 END) AS arisen,
        COUNT(CASE WHEN changes.change = 'standing' THEN 1 END) AS standing,
        COUNT(CASE WHEN changes.change = 'resolved' THEN 1 END) AS resolved
    FROM audit.changes AS changes
),
asked AS (
    -- What only a silent feed could tell is no question to anybody.
    SELECT COUNT(DISTINCT to_ask.client_id) AS people FROM audit.to_ask AS to_ask WHERE to_ask.is_asked
),
received AS (
    -- A second reading of the same bytes brings no new rows.
    SELECT
        SUM(CASE WHEN files.status <> 'superseded' THEN files.rows_read END) AS rows_read,
        SUM(CASE WHEN files.status = 'accepted' THEN files.rows_accepted END) AS rows_accepted
    FROM quality.files AS files
),
held_rows AS (
    SELECT DISTINCT
        held.file_id,
        held.feed,
        held.source_row,
        held.client_id,
        held.code IN ('client_unknown', 'id_reused') AS waits
    FROM quality.held AS held
    WHERE held.status = 'waiting'
),
held_back AS (
    SELECT
        COUNT(CASE WHEN NOT held_rows.waits THEN 1 END) AS held_count,
        COUNT(CASE WHEN held_rows.waits THEN 1 END) AS waiting_count,
        COUNT(CASE WHEN held_rows.feed = 'injuries' AND NOT held_rows.waits THEN 1 END) AS injury_count,
        COUNT(DISTINCT CASE WHEN held_rows.feed = 'injuries' AND NOT held_rows.waits THEN held_rows.client_id END)
            AS injury_people
    FROM held_rows
),
switched_off AS (
    SELECT COUNT(*) AS rules FROM policy.rules_switched_off AS rules_switched_off
),
-- What a rule was called once, or elsewhere: kept, and it quietens nothing. A rule that is switched off is known.
answers AS (
    SELECT COUNT(*) AS of_no_rule
    FROM records.actions AS actions
    LEFT JOIN policy.rules AS rules ON rules.rule = actions.rule
    LEFT JOIN policy.rules_switched_off AS rules_switched_off ON rules_switched_off.rule = actions.rule
    WHERE rules.rule IS NULL AND rules_switched_off.rule IS NULL
),
everybody_then AS (
    SELECT previous.* FROM review.previous_tally AS previous WHERE previous.is_total
)
SELECT
    parameters.as_of,
    tally.people,
    tally.unplaced_people,
    tally.urgent_people,
    tally.soon_people,
    tally.findings_open,
    tally.findings_accepted,
    tally.findings_returned,
    tally.overdue_people,
    tally.never_people,
    tally.overdue_with_wound,
    tally.due_four_weeks,
    tally.cannot_tell_reassessment,
    tally.lying_judged,
    tally.lying_cannot_judge,
    tally.lying_matched,
    tally.lying_under,
    tally.lying_over,
    tally.lying_contraindicated,
    tally.sitting_people,
    tally.sitting_judged,
    tally.sitting_cannot_judge,
    tally.sitting_matched,
    tally.sitting_under,
    tally.sitting_over,
    tally.sitting_contraindicated,
    tally.new_injuries,
    tally.new_injury_people,
    tally.new_injuries_full_thickness,
    tally.new_injuries_present,
    tally.new_injuries_acquired,
    tally.new_injuries_origin_unknown,
    tally.waiting_people,
    tally.waiting_longest_days,
    tally.waiting_full_thickness_people,
    tally.powered_surfaces,
    tally.powered_without_plan,
    tally.services_overdue,
    tally.leaving_soon,
    tally.held_people,
    tally.overdue_percent,
    CASE WHEN NOT parameters.is_first_audit THEN CAST(changed.arisen AS INTEGER) END AS findings_new,
    CASE WHEN NOT parameters.is_first_audit THEN CAST(changed.standing AS INTEGER) END AS findings_standing,
    CASE WHEN NOT parameters.is_first_audit THEN CAST(changed.resolved AS INTEGER) END AS findings_resolved,
    CASE WHEN NOT parameters.is_first_audit THEN CAST(urgent_compared.arisen AS INTEGER) END AS urgent_people_new,
    CASE WHEN NOT parameters.is_first_audit THEN CAST(urgent_compared.standing AS INTEGER) END AS urgent_people_standing,
    CASE WHEN NOT parameters.is_first_audit THEN CAST(urgent_compared.resolved AS INTEGER) END AS urgent_people_resolved,
    CAST(asked.people AS INTEGER) AS people_with_questions,
    CAST(COALESCE(received.rows_read, 0) AS INTEGER) AS rows_received,
    CAST(COALESCE(received.rows_accepted, 0) AS INTEGER) AS rows_used,
    CAST(held_back.held_count AS INTEGER) AS rows_held,
    CAST(held_back.waiting_count AS INTEGER) AS rows_waiting,
    CAST(held_back.injury_count AS INTEGER) AS held_injury_rows,
    CAST(held_back.injury_people AS INTEGER) AS held_injury_people,
    CAST(switched_off.rules AS INTEGER) AS rules_switched_off,
    CAST(answers.of_no_rule AS INTEGER) AS answers_of_no_rule,
    everybody_then.people AS previous_people,
    everybody_then.unplaced_people AS previous_unplaced_people,
    everybody_then.urgent_people AS previous_urgent_people,
    everybody_then.soon_people AS previous_soon_people,
    everybody_then.findings_open AS previous_findings_open,
    everybody_then.findings_accepted AS previous_findings_accepted,
    everybody_then.findings_returned AS previous_findings_returned,
    everybody_then.overdue_people AS previous_overdue_people,
    everybody_then.never_people AS previous_never_people,
    everybody_then.overdue_with_wound AS previous_overdue_with_wound,
    everybody_then.due_four_weeks AS previous_due_four_weeks,
    everybody_then.cannot_tell_reassessment AS previous_cannot_tell_reassessment,
    everybody_then.lying_judged AS previous_lying_judged,
    everybody_then.lying_cannot_judge AS previous_lying_cannot_judge,
    everybody_then.lying_matched AS previous_lying_matched,
    everybody_then.lying_under AS previous_lying_under,
    everybody_then.lying_over AS previous_lying_over,
    everybody_then.lying_contraindicated AS previous_lying_contraindicated,
    everybody_then.sitting_people AS previous_sitting_people,
    everybody_then.sitting_judged AS previous_sitting_judged,
    everybody_then.sitting_cannot_judge AS previous_sitting_cannot_judge,
    everybody_then.sitting_matched AS previous_sitting_matched,
    everybody_then.sitting_under AS previous_sitting_under,
    everybody_then.sitting_over AS previous_sitting_over,
    everybody_then.sitting_contraindicated AS previous_sitting_contraindicated,
    everybody_then.new_injuries AS previous_new_injuries,
    everybody_then.new_injury_people AS previous_new_injury_people,
    everybody_then.new_injuries_full_thickness AS previous_new_injuries_full_thickness,
    everybody_then.new_injuries_present AS previous_new_injuries_present,
    everybody_then.new_injuries_acquired AS previous_new_injuries_acquired,
    everybody_then.new_injuries_origin_unknown AS previous_new_injuries_origin_unknown,
    everybody_then.waiting_people AS previous_waiting_people,
    everybody_then.waiting_longest_days AS previous_waiting_longest_days,
    everybody_then.waiting_full_thickness_people AS previous_waiting_full_thickness_people,
    everybody_then.powered_surfaces AS previous_powered_surfaces,
    everybody_then.powered_without_plan AS previous_powered_without_plan,
    everybody_then.services_overdue AS previous_services_overdue,
    everybody_then.leaving_soon AS previous_leaving_soon,
    everybody_then.held_people AS previous_held_people
FROM audit.tally AS tally
CROSS JOIN review.parameters AS parameters
CROSS JOIN urgent_compared
CROSS JOIN changed
CROSS JOIN asked
CROSS JOIN received
CROSS JOIN held_back
CROSS JOIN switched_off
CROSS JOIN answers
LEFT JOIN everybody_then ON NOT parameters.is_first_audit
WHERE tally.is_total
ORDER BY parameters.as_of
