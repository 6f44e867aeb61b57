-- question: How many powered surfaces are with people for whom nobody has a plan for a power cut?
-- beware:   not recorded is not the same as none, so each has a column of its own
-- figure:   Service tasks, in the weekly audit, powered surfaces
SELECT l.team,
       count(*) AS powered,
       count(*) FILTER (WHERE l.outage_plan) AS with_plan,
       count(*) FILTER (WHERE NOT l.outage_plan) AS without_plan,
       count(*) FILTER (WHERE l.outage_plan IS NULL) AS not_recorded
FROM state.loans AS l
WHERE l.is_powered
GROUP BY l.team
ORDER BY powered DESC, l.team
