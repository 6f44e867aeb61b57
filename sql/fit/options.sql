-- question: Which classes of surface stay open for each person's bed and seat, what speaks for and against each, and in which order?
-- grain:    one row per person on the caseload, position and class for that position
-- key:      client_id, position, surface_class
-- inputs:   fit.need, fit.person_facts, fit.failed_trials, state.clients, state.loans_in_place, policy.surface_classes, policy.class_capabilities,
--           policy.fit_criteria, policy.fit_priorities, policy.need_levels, policy.stages
-- beware:   the list narrows and does not choose; a class is not an item; only what fits has a rank, and nothing has one while the need is not known
-- stored:   view
-- columns:
--   client_id        id                        the person
--   position         code loans.position       lying or sitting
--   surface_class    code loans.surface_class  the class
--   verdict          code fits|fits_with_cautions|does_not_fit|cannot_tell  whether it stays open
--   rank             integer                   1 stands first, by the person's priorities and then the least intrusive and least costly; blank where it does not fit
--   reasons_for      text                      what speaks for it, as plain sentences joined by ;
--   reasons_against  text                      what speaks against it, likewise
--   would_change     text                      what would change the verdict, likewise
--   check_first      text                      what nobody recorded and could stop it or ask for care, joined by a comma
--   relief           integer                   how much pressure it takes off, 0 none to 3 high: an order and no measure
--   comfort          integer                   how comfortable it is, 0 to 3, likewise
--   cost             integer                   how dear it is, 0 to 3, likewise
--   basis            code p|m|c                what its place on the ladder of risk rests on
--   is_in_use        boolean                   the person has it under them now, as far as is recorded
--   note             text                      what holds for the whole list: that no class passes, or that none can be ranked
WITH ladders AS (
    SELECT MAX(capabilities.amount) AS most FROM policy.class_capabilities AS capabilities
),
need_ladder AS (
    SELECT MIN(CASE WHEN need_levels.need_level = 'high' THEN need_levels.rung END) AS high
    FROM policy.need_levels AS need_levels
),
stage_ladder AS (
    SELECT MAX(stages.injury_rung) AS deepest FROM policy.stages AS stages
),
shallow AS (
    SELECT MAX(stages.injury_rung) AS rung
    FROM policy.stages AS stages
    CROSS JOIN stage_ladder
    WHERE stages.injury_rung < stage_ladder.deepest
),
under_now AS (
    SELECT loans.client_id, loans.position, loans.surface_class
    FROM state.loans_in_place AS loans
    WHERE COALESCE(loans.in_use, TRUE) AND COALESCE(loans.is_where_person_is, TRUE)
    GROUP BY loans.client_id, loans.position, loans.surface_class
),
entries AS (
    SELECT
        facts.client_id,
        facts.position,
        criteria.surface_class,
        criteria.kind,
        criteria.listed,
        facts.is_true,
        criteria.says,
        CAST(NULL AS VARCHAR) AS says_against,
        criteria.would_change,
        facts.missing,
        CAST(NULL AS INTEGER) AS badness
    FROM fit.person_facts AS facts
    INNER JOIN policy.fit_criteria AS criteria ON criteria.fact = facts.fact AND criteria.position = facts.position
    WHERE facts.is_true OR (facts.is_true IS NULL AND criteria.asks_when_blank)
    UNION ALL
    SELECT
        facts.client_id,
        facts.position,
        classes.surface_class,
        'priority' AS kind,
        priorities.listed,
        facts.is_true,
        CASE
            WHEN capabilities.polarity = '-' AND capabilities.amount <= priorities.good THEN priorities.says_for
            WHEN capabilities.polarity = '+' AND capabilities.amount >= priorities.good THEN priorities.says_for
        END AS says,
        CASE
            WHEN capabilities.polarity = '-' AND capabilities.amount >= priorities.bad THEN priorities.says_against
            WHEN capabilities.polarity = '+' AND capabilities.amount <= priorities.bad THEN priorities.says_against
        END AS says_against,
        CAST(NULL AS VARCHAR) AS would_change,
        CAST(NULL AS VARCHAR) AS missing,
        -- 0 is best. An amount that policy does not give is taken as the worst; what was not tried has not failed.
        CASE
            WHEN priorities.capability IS NULL THEN CAST(tried.told IS NOT NULL AS INTEGER)
            WHEN capabilities.polarity = '-' THEN capabilities.amount
            WHEN capabilities.polarity = '+' THEN ladders.most - capabilities.amount
            ELSE ladders.most
        END AS badness
    FROM fit.person_facts AS facts
    INNER JOIN policy.fit_priorities AS priorities ON priorities.fact = facts.fact
    INNER JOIN policy.surface_classes AS classes ON classes.position = facts.position
    CROSS JOIN ladders
    LEFT JOIN policy.class_capabilities AS capabilities
        ON capabilities.surface_class = classes.surface_class AND capabilities.capability = priorities.capability
    LEFT JOIN fit.failed_trials AS tried
        ON tried.client_id = facts.client_id
        AND tried.position = facts.position
        AND tried.surface_class = classes.surface_class
    WHERE facts.is_true
),
told AS (
    SELECT
        entries.client_id,
        entries.position,
        entries.surface_class,
        COUNT(CASE WHEN entries.is_true AND entries.kind IN ('stop', 'short') THEN 1 END) > 0 AS is_out,
        COUNT(CASE WHEN entries.is_true IS NULL OR entries.kind = 'caution' THEN 1 END) > 0 AS has_caution,
        COUNT(CASE WHEN entries.is_true IS NULL AND entries.kind = 'stop' THEN 1 END) > 0 AS has_blank_stop,
        string_agg(CASE WHEN entries.kind = 'priority' THEN CAST(entries.badness AS VARCHAR) END, '.' ORDER BY entries.listed) AS order_key,
        string_agg(CASE WHEN entries.kind = 'priority' THEN entries.says END, '; ' ORDER BY entries.listed) AS wishes_for,
        string_agg(entries.says_against, '; ' ORDER BY entries.listed) AS wishes_against,
        string_agg(CASE WHEN entries.kind = 'strength' THEN entries.says END, '; ' ORDER BY entries.listed) AS strengths,
        string_agg(CASE WHEN entries.is_true AND entries.kind IN ('stop', 'short') THEN entries.says END, '; ' ORDER BY entries.listed) AS stops,
        string_agg(entries.missing, ', ' ORDER BY entries.listed) AS blanks,
        string_agg(CASE WHEN entries.is_true AND entries.kind = 'caution' THEN entries.says END, '; ' ORDER BY entries.listed) AS cautions,
        string_agg(
            CASE WHEN entries.is_true AND entries.kind IN ('condition', 'conflict', 'limit') THEN entries.says END,
            '; ' ORDER BY entries.listed
        ) AS limits,
        string_agg(
            CASE WHEN entries.is_true AND entries.kind IN ('stop', 'short') THEN entries.would_change END, '; ' ORDER BY entries.listed
        ) AS would_lift,
        string_agg(
            CASE WHEN entries.is_true THEN entries.would_change END, '; ' ORDER BY entries.listed
        ) AS would_ease
    FROM entries
    GROUP BY entries.client_id, entries.position, entries.surface_class
),
measured AS (
    SELECT
        told.*,
        classes.relief,
        classes.comfort,
        classes.cost,
        classes.listed,
        classes.risk_level_max,
        classes.injury_stage_max,
        carries.basis,
        need.need_level,
        need.need_at_least,
        need.injury_at_most,
        need.reasons AS need_reasons,
        under_now.client_id IS NOT NULL AS is_in_use,
        clients.weight_kg,
        clients.caps_verdict,
        tried.told AS tried_told,
        classes.risk_level_max < need.need_at_least AS fails_risk,
        COALESCE(classes.risk_level_max < need.score_rung, FALSE) AS fails_score,
        -- Of what raises the need, only that which this class falls short of: an injury of the deepest rung to the top, all else to high.
        CASE
            WHEN need.injury_at_least >= stage_ladder.deepest THEN 'the depth of the injury'
            WHEN need.injury_at_least > 0 AND classes.risk_level_max < need_ladder.high THEN 'the open injury'
        END AS injury_raises,
        CASE WHEN classes.risk_level_max < need_ladder.high THEN need.high_because END AS else_raises,
        classes.injury_stage_max < need.injury_at_least AS fails_injury,
        classes.injury_stage_max > shallow.rung AS is_by_exception
    FROM told
    INNER JOIN fit.need AS need ON need.client_id = told.client_id AND need.position = told.position
    INNER JOIN state.clients AS clients ON clients.client_id = told.client_id
    INNER JOIN policy.surface_classes AS classes ON classes.surface_class = told.surface_class
    INNER JOIN policy.class_capabilities AS carries
        ON carries.surface_class = told.surface_class AND carries.capability = 'risk_level_max'
    CROSS JOIN shallow
    CROSS JOIN stage_ladder
    CROSS JOIN need_ladder
    LEFT JOIN under_now
        ON under_now.client_id = told.client_id
        AND under_now.position = told.position
        AND under_now.surface_class = told.surface_class
    LEFT JOIN fit.failed_trials AS tried
        ON tried.client_id = told.client_id
        AND tried.position = told.position
        AND tried.surface_class = told.surface_class
),
decided AS (
    SELECT
        measured.*,
        CASE
            WHEN measured.fails_risk OR measured.fails_injury OR measured.is_out THEN 'does_not_fit'
            WHEN measured.need_level = 'unknown' OR measured.injury_stage_max < measured.injury_at_most OR measured.caps_verdict
                THEN 'cannot_tell'
            WHEN measured.is_in_use AND measured.has_blank_stop THEN 'cannot_tell'
            WHEN measured.has_caution OR measured.tried_told IS NOT NULL THEN 'fits_with_cautions'
            ELSE 'fits'
        END AS verdict
    FROM measured
),
ranked AS (
    SELECT
        decided.*,
        decided.verdict IN ('fits', 'fits_with_cautions') AS is_open,
        CAST(
            ROW_NUMBER() OVER (
                PARTITION BY decided.client_id, decided.position
                ORDER BY
                    CASE decided.verdict WHEN 'fits' THEN 1 WHEN 'fits_with_cautions' THEN 2 END NULLS LAST,
                    decided.order_key,
                    decided.listed
            ) AS INTEGER
        ) AS place,
        COUNT(CASE WHEN decided.verdict IN ('fits', 'fits_with_cautions') THEN 1 END)
            OVER (PARTITION BY decided.client_id, decided.position) AS fitting
    FROM decided
)
SELECT
    ranked.client_id,
    ranked.position,
    ranked.surface_class,
    ranked.verdict,
    CASE WHEN ranked.is_open THEN ranked.place END AS rank,
    NULLIF(
        CONCAT_WS(
            '; ',
            CASE
                WHEN ranked.fails_risk OR ranked.fails_injury THEN NULL
                WHEN ranked.need_level = 'unknown' THEN 'serves a need up to ' || served.label
                ELSE 'reaches the need, ' || needed.label
            END,
            ranked.wishes_for,
            ranked.strengths
        ),
        ''
    ) AS reasons_for,
    CONCAT_WS(
        '; ',
        ranked.stops,
        CASE
            WHEN ranked.fails_risk THEN
                'serves a need up to ' || served.label || ', this need is '
                || CASE WHEN ranked.need_level = 'unknown' THEN 'at least ' ELSE '' END || needed.label
                || CASE
                    WHEN ranked.fails_score THEN ''
                    ELSE ' because of ' || CONCAT_WS(', ', ranked.injury_raises, ranked.else_raises)
                END
        END,
        CASE
            WHEN ranked.fails_injury AND ranked.is_by_exception
                THEN 'carries an injury as deep as this one by written exception only'
            WHEN ranked.fails_injury THEN 'is not for an injury as deep as the one it would carry'
        END,
        'check first: ' || ranked.blanks || ' not recorded',
        ranked.tried_told,
        ranked.cautions,
        ranked.wishes_against,
        CASE
            WHEN ranked.weight_kg IS NULL THEN 'check the rated load: weight not recorded'
            ELSE 'only an item rated above ' || RTRIM(RTRIM(CAST(ranked.weight_kg AS VARCHAR), '0'), '.') || ' kg'
        END,
        ranked.limits
    ) AS reasons_against,
    NULLIF(
        CONCAT_WS(
            '; ',
            ranked.would_lift,
            CASE
                WHEN ranked.fails_risk THEN
                    NULLIF(
                        CONCAT_WS(
                            ' and ',
                            CASE WHEN ranked.fails_score THEN 'a lower need, by a new complete score' END,
                            CASE WHEN NOT ranked.fails_injury AND ranked.injury_raises IS NOT NULL THEN 'the injury closed' END,
                            'a written decision by a clinician despite ' || ranked.else_raises
                        ),
                        ''
                    )
            END,
            CASE
                WHEN ranked.fails_injury AND ranked.is_by_exception
                    THEN 'a written exception, or the injury closed'
                WHEN ranked.fails_injury THEN 'the injury closed'
            END,
            CASE
                WHEN ranked.verdict = 'cannot_tell' AND ranked.caps_verdict THEN 'the row that is held back mended'
                WHEN ranked.verdict = 'cannot_tell' AND ranked.need_level = 'unknown' THEN 'the need known'
                WHEN ranked.verdict = 'cannot_tell' AND ranked.injury_stage_max < ranked.injury_at_most THEN 'the depth of the injury known'
            END,
            CASE WHEN ranked.verdict <> 'does_not_fit' THEN 'an answer to: ' || ranked.blanks END,
            CASE WHEN ranked.verdict <> 'does_not_fit' THEN ranked.would_ease END
        ),
        ''
    ) AS would_change,
    ranked.blanks AS check_first,
    ranked.relief,
    ranked.comfort,
    ranked.cost,
    ranked.basis,
    ranked.is_in_use,
    CASE
        WHEN ranked.fitting = 0 AND ranked.need_level <> 'unknown' THEN 'No class passes: senior or team decision; interim plan today'
        WHEN ranked.fitting = 0 THEN 'Cannot rank: ' || ranked.need_reasons
    END AS note
FROM ranked
LEFT JOIN policy.need_levels AS served ON served.rung = ranked.risk_level_max
LEFT JOIN policy.need_levels AS needed ON needed.rung = ranked.need_at_least
ORDER BY ranked.client_id, ranked.position, ranked.place
