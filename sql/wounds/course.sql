-- question: What did each look at a wound find, and what stage is the wound at by then?
-- grain:    one row per injury_observation_id
-- key:      injury_observation_id
-- inputs:   records.injuries
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
-- A stage 2 has no granulation, slough or dead tissue by definition (NPUAP 2016, Edsberg and others, PMC5098472), so such
-- a look says "deeper than it was called" and not how deep. Its number still keeps later looks from going below it.
-- Mucosa cannot be numbered at all (same source), so a number there counts for nothing.
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
        length_cm,
        width_cm,
        depth_cm,
        recorded_push_total,
        -- On one moment the look that finds the wound open comes last, so that doubt leaves it open.
        CAST(ROW_NUMBER() OVER (
            PARTITION BY injury_id
            ORDER BY observed_at, CASE WHEN status = 'closed' THEN 0 ELSE 1 END, injury_observation_id
        ) AS INTEGER) AS look
    FROM records.injuries
),
in_episodes AS (
    SELECT
        injury_observation_id,
        injury_id,
        look,
        CASE WHEN is_numbered_mucosa THEN 'mucosal' ELSE recorded_stage END AS stage_counted,
        CAST(1 + COALESCE(SUM(CASE WHEN is_closed THEN 1 ELSE 0 END) OVER (
            PARTITION BY injury_id ORDER BY look ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING
        ), 0) AS INTEGER) AS closings
    FROM read_looks
),
-- Depth once lost stays lost after closing; a stage 1, 2 or deep-tissue injury that closed and opens again is a new one.
deepest AS (
    SELECT
        injury_observation_id,
        closings,
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
            PARTITION BY injury_id, closings ORDER BY look ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS deep_tissue_look,
        MAX(CASE stage_counted WHEN 'stage_1' THEN 1 WHEN 'stage_2' THEN 2 END) OVER (
            PARTITION BY injury_id, closings ORDER BY look ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS shallow_number,
        MAX(CASE WHEN stage_counted = 'mucosal' THEN look END) OVER (
            PARTITION BY injury_id, closings ORDER BY look ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS mucosal_look
    FROM in_episodes
)
SELECT
    read_looks.injury_observation_id,
    read_looks.injury_id,
    read_looks.client_id,
    read_looks.look,
    deepest.closings AS episode,
    read_looks.observed_at,
    read_looks.observed_at_has_time,
    read_looks.location,
    read_looks.side,
    read_looks.recorded_stage,
    CASE
        WHEN read_looks.is_deeper_than_called OR read_looks.is_numbered_mucosa THEN 'not_staged'
        ELSE read_looks.recorded_stage
    END AS stage,
    CASE
        WHEN deepest.stage_4_look IS NOT NULL THEN 'stage_4'
        WHEN deepest.unstageable_look > COALESCE(deepest.stage_3_look, 0) THEN 'unstageable'
        WHEN deepest.stage_3_look IS NOT NULL THEN 'stage_3'
        WHEN deepest.deep_tissue_look IS NOT NULL THEN 'deep_tissue_injury'
        WHEN read_looks.is_deeper_than_called OR read_looks.is_numbered_mucosa THEN 'not_staged'
        WHEN deepest.shallow_number = 2 THEN 'stage_2'
        WHEN deepest.shallow_number = 1 THEN 'stage_1'
        WHEN deepest.mucosal_look IS NOT NULL THEN 'mucosal'
        ELSE 'not_staged'
    END AS effective_stage,
    read_looks.is_deeper_than_called OR read_looks.is_numbered_mucosa AS has_contradiction,
    read_looks.is_closed,
    read_looks.cause,
    read_looks.length_cm,
    read_looks.width_cm,
    read_looks.depth_cm,
    CAST(read_looks.length_cm * read_looks.width_cm AS DECIMAL(18, 4)) AS area_cm2,
    read_looks.recorded_push_total
FROM read_looks
INNER JOIN deepest ON deepest.injury_observation_id = read_looks.injury_observation_id
