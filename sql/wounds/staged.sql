-- question: What stage is a wound at by each look, and may that look follow the one before?
-- grain:    one row per injury_observation_id
-- key:      injury_observation_id
-- inputs:   records.injuries, policy.transitions, policy.stages
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
--   deep_tissue_since      date       first look since it opened that found a deep-tissue injury
--   transition             code allowed|review|error  the step from what the wound was to what this look says; blank where nothing tells
--   transition_reason      text       why it is not plainly allowed: codes joined by ;
-- A stage 2 has no granulation, slough or dead tissue by definition (NPUAP 2016, Edsberg and others, PMC5098472), so such
-- a look says "deeper than it was called" and not how deep. Its number still keeps later looks from going below it.
-- Mucosa cannot be numbered at all (same source), so a number there counts for nothing.
-- Which step may be stands in policy.transitions. The step is from what the wound was by then, so each look that calls a
-- healing stage 4 a 3 is wrong anew. What another cause made has no stages to go through.
-- The codes of transition_reason: reverse_staging, forbidden_transition, needs_review, stage_2_with_deep_tissue, numbered_mucosa.
WITH read_looks AS (
    SELECT
        injury_observation_id,
        injury_id,
        client_id,
        observed_at,
        observed_at_has_time,
        location,
        side,
        stage AS recorded_stage,
        stage = 'stage_2' AND COALESCE(tissue IN ('granulation', 'slough', 'necrotic'), FALSE) AS is_deeper_than_called,
        location = 'mucosa' AND stage IN ('stage_1', 'stage_2', 'stage_3', 'stage_4') AS is_numbered_mucosa,
        COALESCE(status = 'closed', FALSE) AS is_closed,
        COALESCE(cause, 'pressure') AS cause,
        -- On one moment the look that finds the wound open comes last, so that doubt leaves it open.
        CAST(ROW_NUMBER() OVER (
            PARTITION BY injury_id
            ORDER BY observed_at, COALESCE(status, 'open'), injury_observation_id
        ) AS INTEGER) AS look
    FROM records.injuries
),
beside AS (
    SELECT
        injury_observation_id,
        injury_id,
        look,
        CAST(observed_at AS DATE) AS observed_on,
        CASE WHEN is_numbered_mucosa THEN 'mucosal' ELSE recorded_stage END AS stage_counted,
        LAG(is_closed) OVER (PARTITION BY injury_id ORDER BY look) AND NOT is_closed AS opens_again
    FROM read_looks
),
in_episodes AS (
    SELECT
        beside.*,
        CAST(1 + SUM(CASE WHEN opens_again THEN 1 ELSE 0 END) OVER (
            PARTITION BY injury_id ORDER BY look ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS INTEGER) AS episode
    FROM beside
),
-- Depth once lost stays lost after closing; a stage 1, 2 or deep-tissue injury that closed and opens again is a new one.
deepest AS (
    SELECT
        injury_observation_id,
        episode,
        MIN(CASE WHEN stage_counted = 'deep_tissue_injury' THEN observed_on END) OVER (
            PARTITION BY injury_id, episode ORDER BY look ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS deep_tissue_since,
        MAX(CASE WHEN stage_counted = 'stage_4' THEN look END) OVER (
            PARTITION BY injury_id ORDER BY look ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS stage_4_look,
        MAX(CASE WHEN stage_counted = 'stage_3' THEN look END) OVER (
            PARTITION BY injury_id ORDER BY look ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS stage_3_look,
        MAX(CASE WHEN stage_counted = 'unstageable' THEN look END) OVER (
            PARTITION BY injury_id ORDER BY look ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS unstageable_look,
        MAX(CASE WHEN stage_counted = 'deep_tissue_injury' THEN look END) OVER (
            PARTITION BY injury_id, episode ORDER BY look ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS deep_tissue_look,
        MAX(CASE stage_counted WHEN 'stage_1' THEN 1 WHEN 'stage_2' THEN 2 END) OVER (
            PARTITION BY injury_id, episode ORDER BY look ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS shallow_number,
        MAX(CASE WHEN stage_counted = 'mucosal' THEN look END) OVER (
            PARTITION BY injury_id, episode ORDER BY look ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS mucosal_look
    FROM in_episodes
),
by_then AS (
    SELECT
        read_looks.*,
        deepest.episode,
        deepest.deep_tissue_since,
        read_looks.is_deeper_than_called OR read_looks.is_numbered_mucosa AS has_contradiction,
        CASE
            WHEN deepest.stage_4_look IS NOT NULL THEN 'stage_4'
            WHEN deepest.unstageable_look < deepest.stage_3_look THEN 'stage_3'
            WHEN deepest.unstageable_look IS NOT NULL THEN 'unstageable'
            WHEN deepest.stage_3_look IS NOT NULL THEN 'stage_3'
            WHEN deepest.deep_tissue_look IS NOT NULL THEN 'deep_tissue_injury'
            WHEN read_looks.is_deeper_than_called OR read_looks.is_numbered_mucosa THEN 'not_staged'
            WHEN deepest.shallow_number = 2 THEN 'stage_2'
            WHEN deepest.shallow_number = 1 THEN 'stage_1'
            WHEN deepest.mucosal_look IS NOT NULL THEN 'mucosal'
            ELSE 'not_staged'
        END AS effective_stage
    FROM read_looks
    INNER JOIN deepest ON deepest.injury_observation_id = read_looks.injury_observation_id
),
left_at AS (
    SELECT
        injury_observation_id,
        CASE WHEN is_closed THEN 'closed' ELSE recorded_stage END AS to_stage,
        LAG(
            CASE WHEN is_closed THEN 'closed_' ELSE '' END
            || CASE
                WHEN effective_stage <> 'not_staged' THEN effective_stage
                WHEN location = 'mucosa' THEN 'mucosal'
                ELSE recorded_stage
            END,
            1,
            'new'
        ) OVER (PARTITION BY injury_id ORDER BY look) AS from_stage
    FROM by_then
    WHERE cause IN ('pressure', 'not_settled')
),
judged AS (
    SELECT
        left_at.injury_observation_id,
        transitions.transition,
        after_it.numbered < before_it.numbered AS is_reverse
    FROM left_at
    INNER JOIN policy.transitions
        ON transitions.from_stage = left_at.from_stage AND transitions.to_stage = left_at.to_stage
    LEFT JOIN policy.stages AS before_it ON before_it.stage = REPLACE(left_at.from_stage, 'closed_', '')
    LEFT JOIN policy.stages AS after_it ON after_it.stage = left_at.to_stage
)
SELECT
    by_then.injury_observation_id,
    by_then.injury_id,
    by_then.client_id,
    by_then.look,
    by_then.episode,
    by_then.observed_at,
    by_then.observed_at_has_time,
    by_then.location,
    by_then.side,
    by_then.recorded_stage,
    CASE WHEN by_then.has_contradiction THEN 'not_staged' ELSE by_then.recorded_stage END AS stage,
    by_then.effective_stage,
    by_then.has_contradiction,
    by_then.is_closed,
    by_then.cause,
    by_then.deep_tissue_since,
    CASE
        WHEN by_then.is_numbered_mucosa OR judged.transition = 'error' THEN 'error'
        WHEN by_then.is_deeper_than_called THEN 'review'
        ELSE judged.transition
    END AS transition,
    NULLIF(
        CONCAT_WS(
            '; ',
            CASE
                WHEN judged.transition = 'error' AND judged.is_reverse THEN 'reverse_staging'
                WHEN judged.transition = 'error' THEN 'forbidden_transition'
                WHEN judged.transition = 'review' THEN 'needs_review'
            END,
            CASE WHEN by_then.is_deeper_than_called THEN 'stage_2_with_deep_tissue' END,
            CASE WHEN by_then.is_numbered_mucosa THEN 'numbered_mucosa' END
        ),
        ''
    ) AS transition_reason
FROM by_then
LEFT JOIN judged ON judged.injury_observation_id = by_then.injury_observation_id
