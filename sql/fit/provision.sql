-- question: Does what each person lies and sits on carry what they need?
-- grain:    one row per person on the caseload and position
-- key:      client_id, position
-- inputs:   fit.need, fit.stops, state.clients, state.surfaces, state.loans_in_place, policy.need_levels, policy.stages,
--           policy.parameters, policy.labels
-- beware:   unknown is not safe; contraindicated rests on recorded facts alone; under_provided is said as soon as one half of the pair fails
--           for certain; neither comfort first nor a decline makes a match
-- columns:
--   client_id      id                        the person
--   position       code loans.position       lying or sitting
--   loan_id        id                        the weakest surface in use; blank when none is
--   surface_class  code loans.surface_class  its class
--   verdict        code matched|under_provided|over_provided|contraindicated|unknown  what they have against what they need
--   reasons        text                      plain sentences joined by ;
--   cautions       text                     what was recorded of the surfaces in use that asks for care whatever the verdict is, joined by ;
--   is_asked       boolean                   the question arises here: always for the bed, for the seat only with a seat or an injury that sitting loads
WITH ladders AS (
    SELECT
        MIN(need_levels.rung) AS lowest,
        MIN(CASE WHEN need_levels.need_level = 'high' THEN need_levels.rung END) AS high,
        MAX(need_levels.rung) AS highest
    FROM policy.need_levels AS need_levels
),
stage_ladder AS (
    SELECT MAX(stages.injury_rung) AS deepest FROM policy.stages AS stages
),
watch AS (
    SELECT MIN(parameters.amount) AS days FROM policy.parameters AS parameters WHERE parameters.name = 'healed_watch_days'
),
stopped AS (
    SELECT
        stops.client_id,
        stops.position,
        COUNT(CASE WHEN stops.is_stopped THEN 1 END) > 0 AS is_stopped,
        string_agg(stops.because, '; ' ORDER BY stops.loan_id) AS because,
        string_agg(stops.check_first, ', ' ORDER BY stops.loan_id) AS check_first
    FROM fit.stops AS stops
    GROUP BY stops.client_id, stops.position
),
handled AS (
    SELECT
        loans.client_id,
        loans.position,
        MAX(CAST(loans.cover_condition = 'damaged' AS INTEGER)) AS has_damaged_cover,
        MAX(CAST(loans.is_active AND loans.mode = 'static' AS INTEGER)) AS stands_still,
        MAX(CAST(loans.is_pump_fed AND loans.mode = 'firm' AS INTEGER)) AS is_firm,
        MAX(CAST(loans.is_pump_fed AS INTEGER)) AS is_pump_fed
    FROM state.loans_in_place AS loans
    WHERE COALESCE(loans.in_use, TRUE) AND COALESCE(loans.is_where_person_is, TRUE)
    GROUP BY loans.client_id, loans.position
),
pairs AS (
    SELECT
        need.client_id,
        need.position,
        need.need_level,
        need.reasons AS need_reasons,
        need.score_rung,
        need.high_because,
        need.need_at_least,
        need.need_at_most,
        need.injury_at_least,
        need.injury_at_most,
        surfaces.loan_count,
        surfaces.loan_id,
        surfaces.weakest_known_class,
        surfaces.risk_level_max,
        surfaces.injury_stage_max,
        surfaces.used_count,
        COALESCE(surfaces.is_certain, FALSE) AS is_certain,
        surfaces.why_uncertain,
        loans.is_powered,
        COALESCE(stopped.is_stopped, FALSE) AS is_stopped,
        stopped.because,
        stopped.check_first,
        clients.caps_verdict,
        COALESCE(need.position = 'lying' AND clients.sleeps_in_chair, FALSE) AS sleeps_elsewhere,
        need.position = 'lying' OR surfaces.loan_count IS NOT NULL OR need.injury_at_least > 0 AS is_asked,
        CASE WHEN clients.risk_is_stale IS NULL THEN 'how old the score is; ' ELSE '' END
            || CASE WHEN clients.has_open_injury IS NULL THEN 'open injuries; ' ELSE '' END
            || CASE WHEN clients.comfort_first IS NULL THEN 'comfort first; ' ELSE '' END
            || CASE WHEN clients.progressive_condition IS NULL THEN 'progressive illness; ' ELSE '' END
            || CASE WHEN clients.spinal_cord_injury IS NULL THEN 'spinal cord injury; ' ELSE '' END
            AS step_down_unknown,
        COALESCE(clients.risk_is_stale, FALSE)
            OR COALESCE(clients.has_open_injury, FALSE)
            OR COALESCE(clients.days_since_healed < watch.days, FALSE)
            OR COALESCE(clients.comfort_first, FALSE)
            OR COALESCE(clients.progressive_condition, FALSE)
            OR COALESCE(clients.spinal_cord_injury, FALSE) AS step_down_barred,
        NULLIF(
            CONCAT_WS(
                '; ',
                CASE WHEN handled.has_damaged_cover = 1 THEN 'its cover is damaged' END,
                CASE WHEN handled.stands_still = 1 THEN 'its cells stood still when seen (static mode), and moving is what it is counted for' END,
                CASE WHEN handled.is_firm = 1 THEN 'it was at its firmest when seen' END,
                CASE
                    WHEN handled.is_pump_fed = 1
                        AND (clients.smoking IN ('unsupervised', 'in_bed') OR clients.naked_flame)
                        AND clients.fire_plan_on IS NOT NULL
                        THEN 'it is fed with air beside a flame or unsupervised smoking: the fire plan has to cover it'
                END
            ),
            ''
        ) AS cautions,
        ladders.lowest,
        ladders.high,
        ladders.highest,
        stage_ladder.deepest
    FROM fit.need AS need
    INNER JOIN state.clients AS clients ON clients.client_id = need.client_id
    CROSS JOIN ladders
    CROSS JOIN stage_ladder
    CROSS JOIN watch
    LEFT JOIN state.surfaces AS surfaces
        ON surfaces.client_id = need.client_id AND surfaces.position = need.position
    LEFT JOIN handled ON handled.client_id = need.client_id AND handled.position = need.position
    LEFT JOIN stopped ON stopped.client_id = need.client_id AND stopped.position = need.position
    LEFT JOIN state.loans_in_place AS loans ON loans.client_id = need.client_id AND loans.loan_id = surfaces.loan_id
),
judged AS (
    SELECT
        pairs.*,
        -- The pair is judged half by half: one failing half is enough, whatever is missing from the other.
        COALESCE(pairs.risk_level_max < pairs.need_at_least, FALSE) AS fails_risk,
        COALESCE(pairs.risk_level_max < pairs.score_rung, FALSE) AS fails_score,
        COALESCE(pairs.injury_stage_max < pairs.injury_at_least, FALSE) AS fails_injury,
        pairs.is_certain
            AND COALESCE(pairs.risk_level_max >= pairs.need_at_most, FALSE)
            AND COALESCE(pairs.injury_stage_max >= pairs.injury_at_most, FALSE) AS passes,
        -- From the next rung on the guidance itself reaches for these classes, so a step down is no question there.
        pairs.need_at_most = pairs.lowest
            AND (COALESCE(pairs.is_powered, FALSE) OR pairs.risk_level_max >= pairs.highest) AS is_generous
    FROM pairs
),
decided AS (
    SELECT
        judged.*,
        CASE
            WHEN judged.sleeps_elsewhere THEN 'unknown'
            WHEN judged.is_stopped THEN 'contraindicated'
            WHEN judged.fails_risk OR judged.fails_injury THEN 'under_provided'
            WHEN NOT judged.passes OR judged.caps_verdict OR judged.check_first IS NOT NULL THEN 'unknown'
            WHEN judged.is_generous AND NOT judged.step_down_barred AND judged.step_down_unknown = '' THEN 'over_provided'
            ELSE 'matched'
        END AS verdict
    FROM judged
),
told AS (
    SELECT
        decided.*,
        CASE
            WHEN decided.loan_count IS NULL AND decided.position = 'sitting' THEN 'no seat recorded; '
            WHEN decided.loan_count IS NULL THEN 'no lying surface recorded, which is not the same as an ordinary mattress; '
            ELSE ''
        END
        || CASE WHEN decided.sleeps_elsewhere THEN 'sleeps in a chair, so the mattress does not protect; ' ELSE '' END
        || CASE WHEN decided.verdict = 'contraindicated' THEN decided.because || '; ' ELSE '' END
        || CASE
            WHEN decided.verdict IN ('contraindicated', 'under_provided') AND decided.fails_risk THEN
                COALESCE(class_labels.label, decided.weakest_known_class) || ' serves a need up to ' || served.label
                || ', this need is ' || CASE WHEN decided.need_level = 'unknown' THEN 'at least ' ELSE '' END
                || needed.label
                || CASE
                    WHEN decided.fails_score THEN ''
                    ELSE ' because of ' || CONCAT_WS(
                        ', ',
                        CASE
                            WHEN decided.injury_at_least >= decided.deepest THEN 'the depth of the injury'
                            WHEN decided.injury_at_least > 0 THEN 'the open injury'
                        END,
                        CASE WHEN decided.risk_level_max < decided.high THEN decided.high_because END
                    )
                END
                || '; '
            ELSE ''
        END
        || CASE
            WHEN decided.verdict IN ('contraindicated', 'under_provided') AND decided.fails_injury THEN
                COALESCE(class_labels.label, decided.weakest_known_class)
                || ' is not for an injury as deep as the one it carries; '
            ELSE ''
        END
        || CASE
            WHEN decided.verdict = 'matched' AND decided.is_generous AND decided.step_down_barred THEN
                'carries the need; more than the score asks for, and no time for a step-down review; '
            WHEN decided.verdict = 'matched' AND decided.is_generous THEN
                'carries the need; more than the score asks for, step-down not judged: '
                || REPLACE(SUBSTR(decided.step_down_unknown, 1, LENGTH(decided.step_down_unknown) - 2), '; ', ', ')
                || ' not recorded; '
            WHEN decided.verdict = 'matched' AND decided.need_level = 'unknown' THEN
                'carries any need, so it is enough whatever is found; which lesser class would do cannot be told until then; '
            WHEN decided.verdict = 'matched' THEN 'carries the need; '
            WHEN decided.verdict = 'over_provided' THEN 'more than the need asks for: step-down review; '
            ELSE ''
        END
        || CASE
            WHEN decided.check_first IS NOT NULL AND NOT decided.sleeps_elsewhere
                THEN 'check first: ' || decided.check_first || ' not recorded; '
            ELSE ''
        END
        || CASE WHEN decided.used_count > 1 THEN 'the weakest of several surfaces counts; ' ELSE '' END
        || CASE WHEN decided.why_uncertain IS NOT NULL THEN decided.why_uncertain || '; ' ELSE '' END
        || CASE
            WHEN decided.verdict = 'unknown' AND decided.is_certain AND NOT decided.passes
                THEN 'need is not known: ' || decided.need_reasons || '; '
            ELSE ''
        END
        || CASE WHEN decided.caps_verdict THEN 'a row of this person is held back; ' ELSE '' END AS sentences
    FROM decided
    LEFT JOIN policy.labels AS class_labels
        ON class_labels.kind = 'surface_class' AND class_labels.code = decided.weakest_known_class
    LEFT JOIN policy.need_levels AS served ON served.rung = decided.risk_level_max
    LEFT JOIN policy.need_levels AS needed ON needed.rung = decided.need_at_least
)
SELECT
    told.client_id,
    told.position,
    told.loan_id,
    told.weakest_known_class AS surface_class,
    told.verdict,
    SUBSTR(told.sentences, 1, LENGTH(told.sentences) - 2) AS reasons,
    told.cautions,
    told.is_asked
FROM told
ORDER BY told.client_id, told.position
