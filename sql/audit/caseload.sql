-- question: How does each team stand?
-- grain:    one row per team, and one for people without a team
-- key:      team?
-- inputs:   audit.tally
-- beware:   a person counts in one team, that of the newest placement
-- columns:
--   team                  text     the team; blank for people without one
--   people                integer  people on the caseload
--   urgent_people         integer  people with an open urgent finding on the list of people
--   soon_people           integer  people with an open soon finding on that list and no urgent one
--   overdue_people        integer  people whose reassessment is overdue, or who were never assessed in time
--   never_people          integer  of them, never assessed
--   due_four_weeks        integer  people not overdue whose reassessment falls due within the look-ahead of the policy
--   cannot_judge_lying    integer  people whose lying surface cannot be judged
--   cannot_judge_sitting  integer  of them, whose seat cannot be judged
--   findings_open         integer  open findings of any severity, hidden ones left out
--   waiting_people        integer  people who wait for a surface
--   held_people           integer  people with a row held back
--   unplaced_people       integer  of them, without a placement in force
SELECT
    tally.team,
    tally.people,
    tally.urgent_people,
    tally.soon_people,
    tally.overdue_people,
    tally.never_people,
    tally.due_four_weeks,
    tally.lying_cannot_judge AS cannot_judge_lying,
    tally.sitting_cannot_judge AS cannot_judge_sitting,
    tally.findings_open,
    tally.waiting_people,
    tally.held_people,
    tally.unplaced_people
FROM audit.tally AS tally
WHERE NOT tally.is_total
ORDER BY tally.team NULLS LAST
