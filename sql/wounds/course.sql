-- question: What did each look at a wound find, what stage is the wound at by then, and how does it heal?
-- grain:    one row per injury_observation_id
-- key:      injury_observation_id
-- inputs:   wounds.staged, wounds.healing, wounds.push, records.injuries
-- beware:   numbers do not heal backwards: a stage 4 that looks like a 3 is a healing stage 4, also when it opens again
-- columns:
--   injury_observation_id  id         the look
--   injury_id              id         the wound
--   client_id              id         the person
--   look                   integer    1 for the first look at the wound
--   episode                integer    1 until the wound is first found closed, then one more each time it opens again
--   observed_at            timestamp  when somebody looked
--   observed_at_has_time   boolean    observed_at is an instant, not a day alone
--   location               code injuries.location  where on the body
--   side                   code injuries.side      which side
--   recorded_stage         code injuries.stage     the stage as sent
--   stage                  code injuries.stage     the stage as read: not_staged where the look contradicts itself
--   effective_stage        code injuries.stage     the stage the wound is at, all looks so far considered
--   has_contradiction      boolean    stage 2 with tissue that a stage 2 cannot have, or a numbered stage on mucosa
--   is_closed              boolean    the look found the wound closed
--   cause                  code injuries.cause     blank in the record = pressure
--   length_cm              number     cm, head to toe
--   width_cm               number     cm
--   depth_cm               number     cm
--   area_cm2               number     cm2, length times width
--   recorded_push_total    integer    the PUSH total that the source states
--   push_total             integer    the PUSH total recomputed; blank unless all three of its parts are recorded
--   transition             code allowed|review|error  the step from what the wound was to what this look says; blank where nothing tells
--   transition_reason      text       why it is not plainly allowed: codes joined by ;
--   percent_area_reduction number     %, smaller than at the first measured look since it opened or was last debrided; negative = larger
--   trend                  code better|stalled|stalled_long|worse|too_early|exempt|closed  how it heals; blank where that cannot be told
-- wounds.staged says how stages are read and steps are judged, wounds.healing how trend comes about, wounds.push the points.
SELECT
    staged.injury_observation_id,
    staged.injury_id,
    staged.client_id,
    staged.look,
    staged.episode,
    staged.observed_at,
    staged.observed_at_has_time,
    staged.location,
    staged.side,
    staged.recorded_stage,
    staged.stage,
    staged.effective_stage,
    staged.has_contradiction,
    staged.is_closed,
    staged.cause,
    injuries.length_cm,
    injuries.width_cm,
    injuries.depth_cm,
    healing.area_cm2,
    injuries.recorded_push_total,
    push.push_total,
    staged.transition,
    staged.transition_reason,
    healing.percent_area_reduction,
    healing.trend
FROM wounds.staged
INNER JOIN records.injuries ON injuries.injury_observation_id = staged.injury_observation_id
INNER JOIN wounds.healing ON healing.injury_observation_id = staged.injury_observation_id
LEFT JOIN wounds.push ON push.injury_observation_id = staged.injury_observation_id
