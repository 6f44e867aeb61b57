-- question: What do each person's open and healed pressure injuries say about bed and seat?
-- grain:    one row per person with any pressure injury recorded
-- key:      client_id
-- inputs:   wounds.open, wounds.course, records.injuries, policy.locations, policy.stages
-- beware:   *_at_least is what is certain, *_at_most what is possible; they differ where a stage or a place is not recorded
-- columns:
--   client_id                id       the person
--   open_count               integer  open injuries
--   lying_at_least           integer  injury rung that the bed must carry for certain
--   lying_at_most            integer  injury rung that the bed may have to carry
--   sitting_at_least         integer  injury rung that the seat must carry for certain
--   sitting_at_most          integer  injury rung that the seat may have to carry
--   lying_count              integer  open injuries that lying loads for certain
--   sitting_count            integer  open injuries that sitting loads for certain
--   deep_certain_count       integer  full-thickness injuries on trunk or pelvis
--   deep_possible_count      integer  injuries that may be one: not staged there, or deep at a place not recorded
--   offloading_count         integer  open injuries that must be kept clear (heel, foot, toe)
--   device_count             integer  open injuries under a device or at a device place
--   infected_count           integer  open injuries with recorded signs of infection
--   infection_unknown_count  integer  open injuries where that is not recorded
--   turning_surfaces         integer  back, left, right: how many carry stage 2 or worse
--   turning_unknown_count    integer  injuries that may add one: no stage or no side
--   newest_seen_on           date     first day of the newest open injury
--   newest_sitting_on        date     first day of the newest open injury that sitting loads for certain
--   least_seen_on            date     the longest ago that any open injury was last looked at
--   healed_on                date     newest day on which an injury was found closed
--   healed_deep_lying        boolean  a full-thickness injury that lying loads has healed
--   healed_deep_sitting      boolean  a full-thickness injury that sitting loads has healed
WITH ladder AS (
    SELECT MIN(stages.injury_rung) AS first_rung, MAX(stages.injury_rung) AS deepest FROM policy.stages AS stages
),
open_injuries AS (
    SELECT
        injuries.client_id,
        injuries.first_seen_on,
        injuries.last_seen_on,
        injuries.signs_of_infection,
        injuries.needs_offloading,
        injuries.is_device_need,
        injuries.loads_lying,
        injuries.loads_sitting,
        injuries.turning_surface,
        -- An open injury without a stage is on the first rung for certain and may be on the deepest.
        COALESCE(injuries.injury_rung, ladder.first_rung) AS rung_at_least,
        COALESCE(injuries.injury_rung, ladder.deepest) AS rung_at_most,
        COALESCE(injuries.is_full_thickness, FALSE) AS is_deep,
        injuries.is_full_thickness IS NULL AS depth_unknown,
        injuries.is_trunk_or_pelvis,
        CASE
            WHEN injuries.effective_stage = 'stage_1' OR injuries.effective_stage = 'mucosal' THEN FALSE
            WHEN injuries.effective_stage IS NULL OR injuries.effective_stage = 'not_staged' THEN NULL
            ELSE TRUE
        END AS is_stage_2_or_worse,
        locations.turning_surface = 'by_side' AND injuries.turning_surface IS NULL AS side_unknown
    FROM wounds.open AS injuries
    CROSS JOIN ladder
    LEFT JOIN policy.locations AS locations ON locations.location = injuries.location
    WHERE COALESCE(injuries.is_pressure, TRUE)
),
open_now AS (
    SELECT
        open_injuries.client_id,
        COUNT(*) AS open_count,
        MAX(CASE WHEN open_injuries.loads_lying THEN open_injuries.rung_at_least ELSE 0 END) AS lying_at_least,
        MAX(CASE WHEN COALESCE(open_injuries.loads_lying, TRUE) THEN open_injuries.rung_at_most ELSE 0 END)
            AS lying_at_most,
        MAX(CASE WHEN open_injuries.loads_sitting THEN open_injuries.rung_at_least ELSE 0 END) AS sitting_at_least,
        MAX(CASE WHEN COALESCE(open_injuries.loads_sitting, TRUE) THEN open_injuries.rung_at_most ELSE 0 END)
            AS sitting_at_most,
        COUNT(CASE WHEN open_injuries.loads_lying THEN 1 END) AS lying_count,
        COUNT(CASE WHEN open_injuries.loads_sitting THEN 1 END) AS sitting_count,
        COUNT(CASE WHEN open_injuries.is_deep AND open_injuries.is_trunk_or_pelvis THEN 1 END) AS deep_certain_count,
        COUNT(
            CASE
                WHEN open_injuries.depth_unknown AND COALESCE(open_injuries.is_trunk_or_pelvis, TRUE) THEN 1
                WHEN open_injuries.is_deep AND open_injuries.is_trunk_or_pelvis IS NULL THEN 1
            END
        ) AS deep_possible_count,
        COUNT(CASE WHEN open_injuries.needs_offloading THEN 1 END) AS offloading_count,
        COUNT(CASE WHEN open_injuries.is_device_need THEN 1 END) AS device_count,
        COUNT(CASE WHEN open_injuries.signs_of_infection THEN 1 END) AS infected_count,
        COUNT(CASE WHEN open_injuries.signs_of_infection IS NULL THEN 1 END) AS infection_unknown_count,
        COUNT(DISTINCT CASE WHEN open_injuries.is_stage_2_or_worse THEN open_injuries.turning_surface END)
            AS turning_surfaces,
        COUNT(
            CASE
                WHEN open_injuries.side_unknown AND COALESCE(open_injuries.is_stage_2_or_worse, TRUE) THEN 1
                WHEN open_injuries.turning_surface IS NOT NULL AND open_injuries.is_stage_2_or_worse IS NULL THEN 1
            END
        ) AS turning_unknown_count,
        MAX(open_injuries.first_seen_on) AS newest_seen_on,
        MAX(CASE WHEN open_injuries.loads_sitting THEN open_injuries.first_seen_on END) AS newest_sitting_on,
        MIN(open_injuries.last_seen_on) AS least_seen_on
    FROM open_injuries
    GROUP BY open_injuries.client_id
),
closed_looks AS (
    -- Few looks find a wound closed, so all that follows is asked of those wounds only.
    SELECT course.client_id, course.injury_id, course.injury_observation_id, course.look, course.location, course.observed_at
    FROM wounds.course AS course
    WHERE course.is_closed AND COALESCE(course.cause, 'pressure') IN ('pressure', 'not_settled')
),
histories AS (
    SELECT
        closed_looks.injury_id,
        MAX(course.look) AS newest_look,
        COUNT(CASE WHEN stages.is_full_thickness THEN 1 END) > 0 AS was_deep
    FROM closed_looks
    INNER JOIN wounds.course AS course ON course.injury_id = closed_looks.injury_id
    LEFT JOIN policy.stages AS stages ON stages.stage = course.effective_stage
    GROUP BY closed_looks.injury_id
),
looks AS (
    SELECT
        closed_looks.client_id,
        closed_looks.location,
        injuries.device_related,
        CAST(closed_looks.observed_at AS DATE) AS observed_on,
        histories.was_deep
    FROM closed_looks
    INNER JOIN histories ON histories.injury_id = closed_looks.injury_id AND histories.newest_look = closed_looks.look
    INNER JOIN records.injuries AS injuries
        ON injuries.injury_observation_id = closed_looks.injury_observation_id
),
healed AS (
    SELECT
        looks.client_id,
        MAX(looks.observed_on) AS healed_on,
        COUNT(
            CASE
                WHEN looks.was_deep AND NOT COALESCE(looks.device_related, FALSE) AND locations.loads_lying = 'yes' THEN 1
            END
        ) > 0 AS deep_lying,
        COUNT(
            CASE
                WHEN looks.was_deep AND NOT COALESCE(looks.device_related, FALSE) AND locations.loads_sitting = 'yes' THEN 1
            END
        ) > 0 AS deep_sitting
    FROM looks
    LEFT JOIN policy.locations AS locations ON locations.location = looks.location
    GROUP BY looks.client_id
),
people AS (
    SELECT open_now.client_id FROM open_now
    UNION
    SELECT healed.client_id FROM healed
)
SELECT
    people.client_id,
    CAST(COALESCE(open_now.open_count, 0) AS INTEGER) AS open_count,
    CAST(COALESCE(open_now.lying_at_least, 0) AS INTEGER) AS lying_at_least,
    CAST(COALESCE(open_now.lying_at_most, 0) AS INTEGER) AS lying_at_most,
    CAST(COALESCE(open_now.sitting_at_least, 0) AS INTEGER) AS sitting_at_least,
    CAST(COALESCE(open_now.sitting_at_most, 0) AS INTEGER) AS sitting_at_most,
    CAST(COALESCE(open_now.lying_count, 0) AS INTEGER) AS lying_count,
    CAST(COALESCE(open_now.sitting_count, 0) AS INTEGER) AS sitting_count,
    CAST(COALESCE(open_now.deep_certain_count, 0) AS INTEGER) AS deep_certain_count,
    CAST(COALESCE(open_now.deep_possible_count, 0) AS INTEGER) AS deep_possible_count,
    CAST(COALESCE(open_now.offloading_count, 0) AS INTEGER) AS offloading_count,
    CAST(COALESCE(open_now.device_count, 0) AS INTEGER) AS device_count,
    CAST(COALESCE(open_now.infected_count, 0) AS INTEGER) AS infected_count,
    CAST(COALESCE(open_now.infection_unknown_count, 0) AS INTEGER) AS infection_unknown_count,
    CAST(COALESCE(open_now.turning_surfaces, 0) AS INTEGER) AS turning_surfaces,
    CAST(COALESCE(open_now.turning_unknown_count, 0) AS INTEGER) AS turning_unknown_count,
    open_now.newest_seen_on,
    open_now.newest_sitting_on,
    open_now.least_seen_on,
    healed.healed_on,
    COALESCE(healed.deep_lying, FALSE) AS healed_deep_lying,
    COALESCE(healed.deep_sitting, FALSE) AS healed_deep_sitting
FROM people
LEFT JOIN open_now ON open_now.client_id = people.client_id
LEFT JOIN healed ON healed.client_id = people.client_id
