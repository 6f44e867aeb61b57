-- question: Between which bounds does each person's need lie, lying and sitting?
-- grain:    one row per person on the caseload and position
-- key:      client_id, position
-- inputs:   state.caseload, state.risks, state.wounds, state.circumstances_now, state.form_answers, state.feeds_heard, policy.need_levels,
--           policy.stages, policy.parameters, review.parameters
-- beware:   *_at_least is certain and *_at_most possible; a rule must read the joined rungs of state.clients, which are blank between the
--           two
-- columns:
--   client_id               id                   the person
--   position                code loans.position  lying or sitting
--   risk_rung               integer              from the scores alone
--   clinician_rung          integer              what clinical judgement raises it to
--   injury_at_least         integer              injury rung of this position, as far as is certain
--   injury_at_most          integer              injury rung of this position, as far as is possible
--   need_at_least           integer              need on the risk ladder, as far as is certain
--   need_at_most            integer              need on the risk ladder, as far as is possible
--   has_healed_deep         boolean              a full-thickness injury that this position loads has healed
--   has_spinal_cord_injury  boolean              recorded
--   cannot_reposition       boolean              recorded: immobile in bed, or cannot shift weight in the seat
--   flap_surgery_on         date                 flap surgery lately enough to count as a deep injury
WITH ladders AS (
    SELECT
        MIN(CASE WHEN need_levels.need_level = 'high' THEN need_levels.rung END) AS high,
        MAX(need_levels.rung) AS highest
    FROM policy.need_levels AS need_levels
),
stage_ladder AS (
    SELECT MAX(stages.injury_rung) AS deepest FROM policy.stages AS stages
),
flap_watch AS (
    SELECT CAST(MAX(parameters.amount) AS INTEGER) AS days
    FROM policy.parameters AS parameters
    WHERE parameters.name = 'flap_watch_days'
),
injured AS (
    SELECT
        wounds.client_id,
        'lying' AS position,
        wounds.lying_at_least AS at_least,
        wounds.lying_at_most AS at_most,
        wounds.healed_deep_lying AS healed_deep
    FROM state.wounds AS wounds
    UNION ALL
    SELECT
        wounds.client_id,
        'sitting' AS position,
        wounds.sitting_at_least AS at_least,
        wounds.sitting_at_most AS at_most,
        wounds.healed_deep_sitting AS healed_deep
    FROM state.wounds AS wounds
),
flaps AS (
    SELECT circumstances.client_id, circumstances.flap_surgery_on
    FROM state.circumstances_now AS circumstances
    CROSS JOIN flap_watch
    CROSS JOIN review.parameters AS parameters
    WHERE circumstances.flap_surgery_on + flap_watch.days >= parameters.as_of
),
positions AS (
    SELECT caseload.client_id, 'lying' AS position FROM state.caseload AS caseload
    UNION ALL
    SELECT caseload.client_id, 'sitting' AS position FROM state.caseload AS caseload
),
known AS (
    SELECT
        positions.client_id,
        positions.position,
        risks.risk_rung,
        risks.clinician_rung,
        CASE WHEN flaps.flap_surgery_on IS NOT NULL THEN stage_ladder.deepest ELSE COALESCE(injured.at_least, 0) END
            AS injury_at_least,
        -- Silence of the injuries feed may hide an injury of any depth.
        CASE
            WHEN heard.injuries_heard AND flaps.flap_surgery_on IS NULL THEN COALESCE(injured.at_most, 0)
            ELSE stage_ladder.deepest
        END AS injury_at_most,
        COALESCE(injured.healed_deep, FALSE) AS has_healed_deep,
        COALESCE(circumstances.spinal_cord_injury, FALSE) AS has_spinal_cord_injury,
        COALESCE(
            CASE positions.position
                WHEN 'lying' THEN form.bed_mobility = 'immobile'
                ELSE NOT form.can_shift_weight_seated
            END,
            FALSE
        ) AS cannot_reposition,
        flaps.flap_surgery_on,
        ladders.high,
        ladders.highest,
        stage_ladder.deepest
    FROM positions
    CROSS JOIN ladders
    CROSS JOIN stage_ladder
    CROSS JOIN state.feeds_heard AS heard
    LEFT JOIN state.risks AS risks ON risks.client_id = positions.client_id
    LEFT JOIN injured ON injured.client_id = positions.client_id AND injured.position = positions.position
    LEFT JOIN state.circumstances_now AS circumstances ON circumstances.client_id = positions.client_id
    LEFT JOIN state.form_answers AS form ON form.client_id = positions.client_id
    -- Nobody writes where the flap is, so bed and seat are both asked to spare it.
    LEFT JOIN flaps ON flaps.client_id = positions.client_id
),
bounds AS (
    -- Score alone is not need: an open injury, a healed deep one, spinal cord injury, not being able to move and clinical
    -- judgement raise the position that they load to at least high, and an injury of the deepest rung to the highest. None of them lowers.
    SELECT
        known.*,
        GREATEST(
            known.risk_rung,
            known.clinician_rung,
            CASE
                WHEN known.injury_at_least >= known.deepest THEN known.highest
                WHEN known.injury_at_least > 0
                    OR known.has_healed_deep
                    OR known.has_spinal_cord_injury
                    OR known.cannot_reposition
                    THEN known.high
                ELSE 0
            END
        ) AS need_at_least,
        GREATEST(
            COALESCE(known.risk_rung, known.highest),
            CASE
                WHEN known.injury_at_most >= known.deepest THEN known.highest
                WHEN known.injury_at_most > 0 THEN known.high
            END
        ) AS injury_or_risk_at_most
    FROM known
)
SELECT
    bounds.client_id,
    bounds.position,
    bounds.risk_rung,
    bounds.clinician_rung,
    bounds.injury_at_least,
    bounds.injury_at_most,
    bounds.need_at_least,
    GREATEST(bounds.need_at_least, bounds.injury_or_risk_at_most) AS need_at_most,
    bounds.has_healed_deep,
    bounds.has_spinal_cord_injury,
    bounds.cannot_reposition,
    bounds.flap_surgery_on
FROM bounds
