-- question: From opening to healing, how did each wound go, and where did it arise?
-- grain:    one row per wound and time that it was open
-- key:      injury_id, episode
-- inputs:   wounds.course, records.injuries, trends.stays, policy.stages
-- beware:   a wound stays one episode across stays and moves; wounds of another cause are here too: is_pressure keeps them apart
-- stored:   view
-- columns:
--   injury_id          id       the wound
--   episode            integer  1 until the wound is first found closed, then one more each time it opens again
--   client_id          id       the person
--   location           code injuries.location  where on the body, as last recorded
--   side               code injuries.side      which side, as last recorded
--   cause              code injuries.cause     the cause by the newest look; blank in the record = pressure
--   is_pressure        boolean  pressure is the cause; blank while the cause is not settled
--   opened_on          date     day it was first noticed, where that is recorded, or first seen open
--   first_seen_on      date     first look
--   seen_open_on       date     first look that found it open; blank where none did
--   last_seen_on       date     newest look
--   healed_on          date     day of the look that found it closed; blank = open at its newest look
--   is_reopened        boolean  it had been closed before
--   reopened_on        date     first look that found it open again after this episode
--   looks              integer  looks of this episode
--   stays              integer  stays in which it was looked at
--   care_setting       code placements.care_setting  setting of the first look; blank on a day without a stay
--   team               text     team of the first look
--   first_stage        code injuries.stage  the first stage that anybody gave it
--   worst_stage        code injuries.stage  the deepest; a wound that heals keeps it
--   worst_since        date     day since which it is as deep as that
--   origin             code present|acquired|unknown  there on arrival, arose on the caseload, or not recorded: at its first stage
--   worst_origin       code present|acquired|unknown  the same at its worst stage
--   has_worsened_here  boolean  it got deeper under our care; blank where nobody can tell
-- Present on admission as CMS reads it (RAI manual 3.0, section M): the first answer stands for the stage that it was given
-- at. What got deeper within a stay arose there, whoever brought the wound; what came back deeper from elsewhere is as the
-- record of that arrival says. What opens from unstageable or deep tissue is not deeper, and keeps its origin. A wound that
-- opens again on the caseload on which it closed arose there (from memory).
WITH stretches AS (
    SELECT
        stays.client_id,
        stays.from_on,
        stays.until_on,
        stays.spell_from_on,
        stays.placement_id,
        stays.care_setting,
        stays.team,
        LAG(stays.placement_id) OVER (PARTITION BY stays.client_id ORDER BY stays.from_on) AS placement_before
    FROM trends.stays
),
-- Another stay beside it cuts a stay in pieces; only a change of the stay is an arrival.
arrived AS (
    SELECT
        stretches.client_id,
        stretches.from_on,
        stretches.until_on,
        stretches.spell_from_on,
        stretches.placement_id,
        stretches.care_setting,
        stretches.team,
        MAX(CASE WHEN stretches.placement_before = stretches.placement_id THEN NULL ELSE stretches.from_on END) OVER (
            PARTITION BY stretches.client_id ORDER BY stretches.from_on ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS arrived_on
    FROM stretches
),
looks AS (
    SELECT
        course.injury_id,
        course.episode,
        course.look,
        course.client_id,
        CAST(course.observed_at AS DATE) AS observed_on,
        NULLIF(course.location, 'not_recorded') AS location,
        course.side,
        course.cause,
        course.is_closed,
        NULLIF(course.effective_stage, 'not_staged') AS stage,
        stages.injury_rung,
        stages.numbered,
        injuries.first_noticed_on,
        NULLIF(injuries.present_on_admission, 'unknown') AS present_on_admission,
        COALESCE(here.arrived_on, leaving.arrived_on) AS arrived_on,
        COALESCE(here.spell_from_on, leaving.spell_from_on) AS spell_from_on,
        COALESCE(here.placement_id, leaving.placement_id) AS placement_id,
        CASE WHEN here.client_id IS NOT NULL THEN here.care_setting ELSE leaving.care_setting END AS care_setting,
        CASE WHEN here.client_id IS NOT NULL THEN here.team ELSE leaving.team END AS team
    FROM wounds.course
    INNER JOIN records.injuries ON injuries.injury_observation_id = course.injury_observation_id
    INNER JOIN policy.stages ON stages.stage = course.effective_stage
    LEFT JOIN arrived AS here
        ON here.client_id = course.client_id
        AND here.from_on <= CAST(course.observed_at AS DATE)
        AND here.until_on > CAST(course.observed_at AS DATE)
    -- Whoever is looked at on the day of leaving was looked at in the stay that is left.
    LEFT JOIN arrived AS leaving
        ON leaving.client_id = course.client_id AND leaving.until_on = CAST(course.observed_at AS DATE)
),
beside AS (
    SELECT
        looks.*,
        LAG(looks.observed_on) OVER (PARTITION BY looks.injury_id ORDER BY looks.look) AS seen_before_on,
        MAX(looks.injury_rung) OVER (
            PARTITION BY looks.injury_id, looks.episode ORDER BY looks.look ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING
        ) AS rung_before,
        MAX(looks.numbered) OVER (
            PARTITION BY looks.injury_id, looks.episode ORDER BY looks.look ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING
        ) AS number_before
    FROM looks
),
judged AS (
    SELECT
        beside.*,
        CASE WHEN beside.injury_rung > beside.rung_before OR beside.numbered > beside.number_before THEN beside.look END
            AS deeper_look,
        beside.arrived_on <= beside.seen_before_on AS is_same_stay,
        beside.spell_from_on <= beside.seen_before_on AS is_same_spell
    FROM beside
),
summed AS (
    SELECT
        judged.injury_id,
        judged.episode,
        MIN(judged.look) AS first_look,
        MAX(judged.look) AS newest_look,
        CAST(COUNT(*) AS INTEGER) AS looks,
        CAST(COUNT(DISTINCT judged.placement_id) AS INTEGER) AS stays,
        MIN(judged.observed_on) AS first_seen_on,
        MAX(judged.observed_on) AS last_seen_on,
        MIN(CASE WHEN NOT judged.is_closed THEN judged.observed_on END) AS seen_open_on,
        MIN(CASE WHEN judged.is_closed THEN judged.observed_on END) AS healed_on,
        MIN(judged.first_noticed_on) AS first_noticed_on,
        MAX(CASE WHEN judged.location IS NOT NULL THEN judged.look END) AS location_look,
        MAX(CASE WHEN judged.side IS NOT NULL THEN judged.look END) AS side_look,
        MIN(CASE WHEN judged.stage IS NOT NULL THEN judged.look END) AS staged_look,
        MAX(CASE WHEN judged.stage IS NOT NULL THEN judged.look END) AS last_staged_look,
        MIN(CASE WHEN judged.present_on_admission IS NOT NULL THEN judged.look END) AS answered_look,
        MAX(judged.deeper_look) AS deeper_look,
        -- One deepening here is enough; one that nobody can place leaves it open.
        MAX(
            CASE
                WHEN judged.deeper_look IS NOT NULL AND (judged.is_same_spell OR judged.present_on_admission = 'no') THEN 2
                WHEN judged.deeper_look IS NULL OR judged.present_on_admission = 'yes' THEN 0
                ELSE 1
            END
        ) AS worsened
    FROM judged
    GROUP BY judged.injury_id, judged.episode
),
told AS (
    SELECT
        summed.injury_id,
        summed.episode,
        MAX(CASE WHEN judged.look = summed.first_look THEN judged.client_id END) AS client_id,
        MAX(CASE WHEN judged.look = summed.location_look THEN judged.location END) AS location,
        MAX(CASE WHEN judged.look = summed.side_look THEN judged.side END) AS side,
        MAX(CASE WHEN judged.look = summed.newest_look THEN judged.cause END) AS cause,
        MAX(CASE WHEN judged.look = summed.first_look THEN judged.care_setting END) AS care_setting,
        MAX(CASE WHEN judged.look = summed.first_look THEN judged.team END) AS team,
        MAX(CASE WHEN judged.look = summed.staged_look THEN judged.stage END) AS first_stage,
        MAX(CASE WHEN judged.look = summed.last_staged_look THEN judged.stage END) AS worst_stage,
        MAX(CASE WHEN judged.look = COALESCE(summed.deeper_look, summed.staged_look) THEN judged.observed_on END) AS worst_since,
        MAX(CASE WHEN judged.look = summed.first_look AND judged.is_same_spell THEN 1 END) AS was_here_before,
        MAX(CASE WHEN judged.look = summed.answered_look THEN judged.present_on_admission END) AS first_answer,
        MAX(CASE WHEN judged.look = summed.deeper_look AND judged.is_same_stay THEN 1 END) AS deepened_in_stay,
        MAX(CASE WHEN judged.look = summed.deeper_look THEN judged.present_on_admission END) AS deeper_answer
    FROM summed
    INNER JOIN judged ON judged.injury_id = summed.injury_id AND judged.episode = summed.episode
    GROUP BY summed.injury_id, summed.episode
),
placed AS (
    SELECT
        summed.*,
        told.client_id,
        told.location,
        told.side,
        told.cause,
        told.care_setting,
        told.team,
        told.first_stage,
        told.worst_stage,
        told.worst_since,
        CASE
            -- Only an episode that is not the first has a look before it: the one that found the wound closed.
            WHEN told.was_here_before = 1 OR told.first_answer = 'no' THEN 'acquired'
            WHEN told.first_answer = 'yes' THEN 'present'
            ELSE 'unknown'
        END AS origin,
        CASE
            WHEN told.deepened_in_stay = 1 OR told.deeper_answer = 'no' THEN 'acquired'
            WHEN told.deeper_answer = 'yes' THEN 'present'
            ELSE 'unknown'
        END AS deeper_origin,
        LAG(summed.last_seen_on) OVER (PARTITION BY summed.injury_id ORDER BY summed.episode) AS closed_before_on,
        LEAD(summed.first_seen_on) OVER (PARTITION BY summed.injury_id ORDER BY summed.episode) AS reopened_on
    FROM summed
    INNER JOIN told ON told.injury_id = summed.injury_id AND told.episode = summed.episode
)
SELECT
    placed.injury_id,
    placed.episode,
    placed.client_id,
    COALESCE(placed.location, 'not_recorded') AS location,
    placed.side,
    placed.cause,
    CASE WHEN placed.cause <> 'not_settled' THEN placed.cause = 'pressure' END AS is_pressure,
    CASE
        WHEN placed.first_noticed_on <= placed.first_seen_on
            AND (placed.episode = 1 OR placed.first_noticed_on > placed.closed_before_on)
            THEN placed.first_noticed_on
        ELSE placed.seen_open_on
    END AS opened_on,
    placed.first_seen_on,
    placed.seen_open_on,
    placed.last_seen_on,
    placed.healed_on,
    placed.episode > 1 AS is_reopened,
    placed.reopened_on,
    placed.looks,
    placed.stays,
    placed.care_setting,
    placed.team,
    COALESCE(placed.first_stage, 'not_staged') AS first_stage,
    COALESCE(placed.worst_stage, 'not_staged') AS worst_stage,
    placed.worst_since,
    placed.origin,
    CASE WHEN placed.deeper_look IS NULL THEN placed.origin ELSE placed.deeper_origin END AS worst_origin,
    CASE placed.worsened WHEN 2 THEN TRUE WHEN 0 THEN FALSE END AS has_worsened_here
FROM placed
