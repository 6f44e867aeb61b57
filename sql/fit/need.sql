-- question: How much must the bed and the seat of each person carry, and why?
-- grain:    one row per person on the caseload and position
-- key:      client_id, position
-- inputs:   state.needs, state.clients, policy.need_levels, policy.stages, policy.labels
-- beware:   need_level is unknown wherever a missing fact could still raise it; need_at_least says what is certain even then
-- columns:
--   client_id        id                   the person
--   position         code loans.position  lying or sitting
--   risk_rung        integer              0 low to 3 very high, from the scores alone; blank when no score can be trusted
--   injury_rung      integer              0 none, 1 stage 1-2, 3 deeper: what loads this position; blank when a stage or place is missing
--   need_level       code low|at_risk|high|very_high|unknown  the level that a surface must reach
--   need_rung        integer              the same on the ladder; blank when unknown
--   score_rung       integer              what the scores and clinical judgement ask for by themselves; blank when neither can be trusted
--   high_because     text                 what besides them and an open injury raises it to high, joined by a comma
--   need_at_least    integer              the rung that is certain
--   need_at_most     integer              the rung that is possible
--   injury_at_least  integer              the injury rung that is certain
--   injury_at_most   integer              the injury rung that is possible
--   reasons          text                 plain sentences joined by ;
--   missing          text                 the columns that keep it unknown, joined by ;
WITH deepest AS (
    SELECT MAX(stages.injury_rung) AS rung FROM policy.stages AS stages
),
facts AS (
    SELECT
        needs.client_id,
        needs.position,
        needs.risk_rung,
        needs.clinician_rung,
        needs.injury_at_least,
        needs.injury_at_most,
        needs.need_at_least,
        needs.need_at_most,
        needs.has_healed_deep,
        needs.has_spinal_cord_injury,
        needs.cannot_reposition,
        needs.flap_surgery_on,
        deepest.rung AS deepest_rung,
        clients.risk_is_stale,
        clients.risk_is_wrong_for_age,
        clients.is_adult,
        clients.risk_assessed_on,
        clients.has_any_score,
        COALESCE(scale_labels.label, clients.risk_scale) AS scale_label,
        -- A number is written with its four places; a total needs those that say something.
        RTRIM(RTRIM(CAST(clients.risk_total AS VARCHAR), '0'), '.') AS total,
        risk_levels.label AS risk_label,
        clinician_levels.label AS clinician_label
    FROM state.needs AS needs
    INNER JOIN state.clients AS clients ON clients.client_id = needs.client_id
    CROSS JOIN deepest
    LEFT JOIN policy.labels AS scale_labels ON scale_labels.kind = 'scale' AND scale_labels.code = clients.risk_scale
    LEFT JOIN policy.need_levels AS risk_levels ON risk_levels.rung = needs.risk_rung
    LEFT JOIN policy.need_levels AS clinician_levels ON clinician_levels.rung = needs.clinician_rung
),
told AS (
    SELECT
        facts.*,
        CASE
            WHEN facts.risk_rung IS NOT NULL THEN
                facts.scale_label || COALESCE(' ' || facts.total, '') || ' on '
                || CAST(facts.risk_assessed_on AS VARCHAR) || ' reads as ' || facts.risk_label
                || CASE
                    WHEN facts.risk_is_stale THEN ', past its age limit, and stands until somebody scores again'
                    ELSE ''
                END || '; '
            WHEN facts.risk_is_wrong_for_age AND NOT facts.is_adult THEN
                'the score is on an instrument for another age: use a children''s instrument; '
            WHEN facts.risk_is_wrong_for_age THEN 'the score is on an instrument for another age: use one for adults; '
            WHEN facts.risk_assessed_on IS NOT NULL THEN
                'the newest score of ' || CAST(facts.risk_assessed_on AS VARCHAR) || ' cannot be relied on; '
            WHEN facts.has_any_score THEN 'no score is complete; '
            ELSE 'no score is recorded; '
        END
        || CASE
            WHEN facts.clinician_rung IS NOT NULL THEN 'clinical judgement says ' || facts.clinician_label || '; '
            ELSE ''
        END
        || CASE
            WHEN facts.flap_surgery_on IS NOT NULL THEN
                'flap surgery on ' || CAST(facts.flap_surgery_on AS VARCHAR) || ' counts as a deep injury; '
            WHEN facts.injury_at_least >= facts.deepest_rung THEN 'an open full-thickness or deep injury is loaded here; '
            WHEN facts.injury_at_least > 0 AND facts.injury_at_most > facts.injury_at_least THEN
                'an open injury is loaded here, how deep is not known; '
            WHEN facts.injury_at_least > 0 THEN 'an open stage 1 or 2 injury is loaded here; '
            WHEN facts.injury_at_most > 0 THEN 'whether an injury is loaded here is not known; '
            ELSE ''
        END
        || CASE WHEN facts.has_healed_deep THEN 'a full-thickness injury has healed here; ' ELSE '' END
        || CASE WHEN facts.has_spinal_cord_injury THEN 'spinal cord injury; ' ELSE '' END
        || CASE
            WHEN facts.cannot_reposition AND facts.position = 'lying' THEN 'cannot move in bed; '
            WHEN facts.cannot_reposition THEN 'cannot shift weight in the seat; '
            ELSE ''
        END AS sentences,
        NULLIF(
            CONCAT_WS(
                ', ',
                CASE WHEN facts.has_healed_deep THEN 'a full-thickness injury that has healed here' END,
                CASE WHEN facts.has_spinal_cord_injury THEN 'spinal cord injury' END,
                CASE
                    WHEN facts.cannot_reposition AND facts.position = 'lying' THEN 'not being able to move in bed'
                    WHEN facts.cannot_reposition THEN 'not being able to shift weight in the seat'
                END
            ),
            ''
        ) AS high_because,
        CASE
            WHEN facts.risk_rung IS NULL AND facts.need_at_most > facts.need_at_least THEN 'risk_rung; '
            ELSE ''
        END
        || CASE WHEN facts.injury_at_most > facts.injury_at_least THEN facts.position || '_injury_rung; ' ELSE '' END
            AS absent
    FROM facts
)
SELECT
    told.client_id,
    told.position,
    told.risk_rung,
    CASE WHEN told.injury_at_least = told.injury_at_most THEN told.injury_at_least END AS injury_rung,
    CASE WHEN told.need_at_least = told.need_at_most THEN need_levels.need_level ELSE 'unknown' END AS need_level,
    CASE WHEN told.need_at_least = told.need_at_most THEN told.need_at_least END AS need_rung,
    GREATEST(told.risk_rung, told.clinician_rung) AS score_rung,
    told.high_because,
    told.need_at_least,
    told.need_at_most,
    told.injury_at_least,
    told.injury_at_most,
    SUBSTR(told.sentences, 1, LENGTH(told.sentences) - 2) AS reasons,
    CASE WHEN told.absent <> '' THEN SUBSTR(told.absent, 1, LENGTH(told.absent) - 2) END AS missing
FROM told
LEFT JOIN policy.need_levels AS need_levels ON need_levels.rung = told.need_at_least
ORDER BY told.client_id, told.position
