-- question: When did each person whose findings somebody quietened last get worse?
-- grain:    one row per person with an action, a comfort goal or a decline on record, and anything that got worse
-- key:      client_id
-- inputs:   wounds.course, risk.scores, records.actions, records.circumstances, policy.stages
-- beware:   day of the look or score, not of its arrival; what nobody had staged counts as deeper once it is staged
-- columns:
--   client_id       id    the person
--   injury_on       date  newest day on which a pressure injury was first seen, had opened again, or was found deeper
--   risk_on         date  newest day on which a complete score stood on a higher rung than the one before it on that scale
--   worse_on        date  the later of the two
WITH people AS (
    SELECT actions.client_id FROM records.actions AS actions
    UNION
    SELECT forms.client_id
    FROM records.circumstances AS forms
    WHERE forms.comfort_first OR forms.declined_what IS NOT NULL
),
deepest AS (
    SELECT MAX(stages.numbered) AS numbered FROM policy.stages AS stages
),
looks AS (
    SELECT
        people.client_id,
        course.injury_id,
        course.look,
        course.episode,
        CAST(course.observed_at AS DATE) AS seen_on,
        course.is_closed,
        -- Ten keeps the rungs apart. A deep one without a number may be the deepest, so that a 3 found in it is not news.
        COALESCE(stages.injury_rung * 10 + COALESCE(stages.numbered, deepest.numbered), 0) AS depth
    FROM people
    CROSS JOIN deepest
    INNER JOIN wounds.course AS course ON course.client_id = people.client_id
    LEFT JOIN policy.stages AS stages ON stages.stage = course.effective_stage
    WHERE COALESCE(course.cause, 'pressure') IN ('pressure', 'not_settled')
),
beside AS (
    SELECT
        looks.*,
        LAG(looks.episode) OVER (PARTITION BY looks.injury_id ORDER BY looks.look) AS episode_before,
        -- The deepest so far and not the look before: a look that nobody staged must not make an old depth new.
        MAX(looks.depth) OVER (
            PARTITION BY looks.injury_id ORDER BY looks.look ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING
        ) AS depth_before
    FROM looks
),
injured AS (
    SELECT beside.client_id, MAX(beside.seen_on) AS injury_on
    FROM beside
    WHERE NOT beside.is_closed
        AND (
            beside.episode_before IS NULL
            OR beside.episode > beside.episode_before
            OR beside.depth > beside.depth_before
        )
    GROUP BY beside.client_id
),
scored AS (
    SELECT
        people.client_id,
        CAST(scores.assessed_at AS DATE) AS scored_on,
        scores.risk_rung,
        LAG(scores.risk_rung) OVER (
            PARTITION BY people.client_id, scores.scale ORDER BY scores.assessed_at, scores.assessment_id
        ) AS rung_before
    FROM people
    INNER JOIN risk.scores AS scores ON scores.client_id = people.client_id
    WHERE scores.risk_rung IS NOT NULL AND COALESCE(scores.suits_age, TRUE)
),
riskier AS (
    SELECT scored.client_id, MAX(scored.scored_on) AS risk_on
    FROM scored
    WHERE scored.risk_rung > scored.rung_before
    GROUP BY scored.client_id
)
SELECT
    people.client_id,
    injured.injury_on,
    riskier.risk_on,
    CAST(GREATEST(COALESCE(injured.injury_on, riskier.risk_on), COALESCE(riskier.risk_on, injured.injury_on)) AS DATE)
        AS worse_on
FROM people
LEFT JOIN injured ON injured.client_id = people.client_id
LEFT JOIN riskier ON riskier.client_id = people.client_id
WHERE injured.injury_on IS NOT NULL OR riskier.risk_on IS NOT NULL
ORDER BY people.client_id
