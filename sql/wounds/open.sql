-- question: Which wounds are open, how deep are they, and what do they load?
-- grain:    one row per open injury
-- key:      injury_id
-- inputs:   wounds.course, records.injuries, records.circumstances, policy.stages, policy.locations, policy.parameters, review.parameters
-- beware:   signs of infection stand until somebody writes that there are none; a blank look does not clear them
-- columns:
--   injury_id             id       the wound
--   client_id             id       the person
--   location              code injuries.location  where on the body, as last recorded
--   side                  code injuries.side      which side, as last recorded
--   stage                 code injuries.stage     the stage that the newest look was read as
--   effective_stage       code injuries.stage     the stage the wound is at, all looks considered
--   has_contradiction     boolean  the newest look contradicts itself
--   trend                 code better|stalled|stalled_long|worse|too_early|exempt  how it heals by the newest look; blank where that cannot be told
--   cause                 code injuries.cause     the cause by the newest look; blank in the record = pressure
--   is_pressure           boolean  pressure is the cause; blank while the cause is not settled
--   device_related        boolean  caused by a device
--   present_on_admission  code yes|no  was there when the stay began; blank when not recorded or not known
--   first_seen_on         date     first look since it opened
--   deep_since_on         date     first look since it opened that found it full thickness or deep
--   last_seen_on          date     newest look
--   last_measured_on      date     newest look with length and width, since it opened
--   area_cm2              number   cm2, length times width at that look
--   signs_of_infection    boolean  signs of infection were seen
--   injury_rung           integer  what a surface must carry: 0 none, 1 stage 1 or 2, 3 full thickness or deep
--   is_full_thickness     boolean  full thickness, or to be treated as such
--   loads_lying           boolean  lying presses on it
--   loads_sitting         boolean  sitting presses on it; blank when sitting out decides and is not recorded or too old
--   is_trunk_or_pelvis    boolean  on the trunk or the pelvis
--   needs_offloading      boolean  on heel, foot or toe: must be kept clear of any surface
--   is_device_need        boolean  under a device or at a device's place
--   turning_surface       code back|left|right    the side of the body that it takes out of the turning plan
-- Injuries by a device and those that must be kept clear never raise a mattress or a seat.
WITH ranked AS (
    SELECT
        course.injury_observation_id,
        course.injury_id,
        course.client_id,
        course.look,
        course.episode,
        CAST(course.observed_at AS DATE) AS observed_on,
        course.stage,
        course.effective_stage,
        course.has_contradiction,
        course.is_closed,
        course.trend,
        course.cause,
        course.area_cm2,
        ROW_NUMBER() OVER (PARTITION BY course.injury_id ORDER BY course.look DESC) AS place
    FROM wounds.course
),
newest AS (
    SELECT
        ranked.injury_id,
        ranked.client_id,
        ranked.episode,
        ranked.observed_on,
        ranked.stage,
        ranked.effective_stage,
        ranked.has_contradiction,
        ranked.trend,
        ranked.cause
    FROM ranked
    WHERE ranked.place = 1 AND NOT ranked.is_closed
),
looks AS (
    SELECT
        ranked.injury_id,
        ranked.look,
        ranked.observed_on,
        ranked.area_cm2,
        stages.is_full_thickness,
        injuries.location,
        injuries.side,
        injuries.device_related,
        injuries.present_on_admission,
        injuries.signs_of_infection
    FROM ranked
    INNER JOIN newest ON newest.injury_id = ranked.injury_id AND newest.episode = ranked.episode
    INNER JOIN records.injuries ON injuries.injury_observation_id = ranked.injury_observation_id
    LEFT JOIN policy.stages ON stages.stage = ranked.effective_stage
),
-- For each fact, the look that last recorded it (for presence on admission: that first recorded it).
chosen AS (
    SELECT
        injury_id,
        MIN(observed_on) AS first_seen_on,
        MIN(CASE WHEN is_full_thickness THEN observed_on END) AS deep_since_on,
        MAX(look) AS newest_look,
        MAX(CASE WHEN location <> 'not_recorded' THEN look END) AS location_look,
        MAX(CASE WHEN side IS NOT NULL THEN look END) AS side_look,
        MAX(CASE WHEN area_cm2 IS NOT NULL THEN look END) AS area_look,
        MAX(CASE WHEN signs_of_infection IS NOT NULL THEN look END) AS infection_look,
        MIN(CASE WHEN present_on_admission IN ('yes', 'no') THEN look END) AS admission_look,
        MAX(CAST(device_related AS INTEGER)) AS device_related
    FROM looks
    GROUP BY injury_id
),
facts AS (
    SELECT
        chosen.injury_id,
        chosen.first_seen_on,
        chosen.deep_since_on,
        MAX(CASE WHEN looks.look = COALESCE(chosen.location_look, chosen.newest_look) THEN looks.location END) AS location,
        MAX(CASE WHEN looks.look = chosen.side_look THEN looks.side END) AS side,
        MAX(CASE WHEN looks.look = chosen.area_look THEN looks.observed_on END) AS last_measured_on,
        MAX(CASE WHEN looks.look = chosen.area_look THEN looks.area_cm2 END) AS area_cm2,
        MAX(CASE WHEN looks.look = chosen.admission_look THEN looks.present_on_admission END) AS present_on_admission,
        MAX(CASE WHEN looks.look = chosen.infection_look AND looks.signs_of_infection THEN 1 END) AS infected,
        MAX(CASE WHEN looks.look = chosen.newest_look AND NOT looks.signs_of_infection THEN 1 END) AS clean,
        MAX(chosen.device_related) AS device_related
    FROM chosen
    INNER JOIN looks ON looks.injury_id = chosen.injury_id
    GROUP BY chosen.injury_id, chosen.first_seen_on, chosen.deep_since_on
),
-- "Does not sit out" is believed only while it is recent; "sits out" stands until somebody writes otherwise.
shelf_life AS (
    SELECT MAX(amount) AS days
    FROM policy.parameters
    WHERE name = 'circumstance_age_days'
),
said_seated AS (
    SELECT
        circumstances.client_id,
        circumstances.observed_on,
        circumstances.hours_seated,
        ROW_NUMBER() OVER (
            PARTITION BY circumstances.client_id
            ORDER BY circumstances.observed_on DESC, circumstances.hours_seated DESC, circumstances.circumstances_id
        ) AS place
    FROM records.circumstances
    WHERE circumstances.hours_seated IS NOT NULL
),
seated AS (
    SELECT
        said_seated.client_id,
        CASE
            WHEN said_seated.hours_seated > 0 THEN TRUE
            WHEN DATE_DIFF('day', said_seated.observed_on, CAST(parameters.looked_at AS DATE)) <= shelf_life.days THEN FALSE
        END AS sits_out
    FROM said_seated
    CROSS JOIN review.parameters
    CROSS JOIN shelf_life
    WHERE said_seated.place = 1
),
placed AS (
    SELECT
        newest.injury_id,
        newest.client_id,
        facts.location,
        facts.side,
        newest.stage,
        newest.effective_stage,
        newest.has_contradiction,
        newest.trend,
        newest.cause,
        facts.device_related = 1 AS device_related,
        facts.present_on_admission,
        facts.first_seen_on,
        facts.deep_since_on,
        newest.observed_on AS last_seen_on,
        facts.last_measured_on,
        facts.area_cm2,
        CASE WHEN facts.infected = 1 THEN TRUE WHEN facts.clean = 1 THEN FALSE END AS signs_of_infection,
        COALESCE(facts.device_related = 1, FALSE) OR COALESCE(locations.is_device_site, FALSE) AS is_device_need,
        locations.loads_lying,
        locations.loads_sitting,
        locations.is_trunk_or_pelvis,
        locations.needs_offloading,
        locations.turning_surface,
        seated.sits_out
    FROM newest
    INNER JOIN facts ON facts.injury_id = newest.injury_id
    LEFT JOIN policy.locations ON locations.location = facts.location
    LEFT JOIN seated ON seated.client_id = newest.client_id
)
SELECT
    placed.injury_id,
    placed.client_id,
    placed.location,
    placed.side,
    placed.stage,
    placed.effective_stage,
    placed.has_contradiction,
    placed.trend,
    placed.cause,
    CASE WHEN placed.cause <> 'not_settled' THEN placed.cause = 'pressure' END AS is_pressure,
    placed.device_related,
    placed.present_on_admission,
    placed.first_seen_on,
    placed.deep_since_on,
    placed.last_seen_on,
    placed.last_measured_on,
    placed.area_cm2,
    placed.signs_of_infection,
    stages.injury_rung,
    stages.is_full_thickness,
    CASE
        WHEN placed.is_device_need OR placed.loads_lying = 'no' THEN FALSE
        WHEN placed.loads_lying = 'yes' THEN TRUE
    END AS loads_lying,
    CASE
        WHEN placed.is_device_need OR placed.loads_sitting = 'no' THEN FALSE
        WHEN placed.loads_sitting = 'yes' THEN TRUE
        WHEN placed.loads_sitting = 'when_seated' THEN placed.sits_out
    END AS loads_sitting,
    placed.is_trunk_or_pelvis,
    placed.needs_offloading AND NOT placed.is_device_need AS needs_offloading,
    placed.is_device_need,
    CASE
        WHEN placed.turning_surface = 'back' THEN 'back'
        WHEN placed.turning_surface = 'by_side' AND placed.side IN ('left', 'right') THEN placed.side
    END AS turning_surface
FROM placed
LEFT JOIN policy.stages ON stages.stage = placed.effective_stage
