-- question: What was last recorded of what each person minds, hopes for and needs care with, which decides between surfaces?
-- grain:    one row per person with any circumstances recorded
-- key:      client_id
-- inputs:   records.circumstances, policy.fact_ages, review.parameters
-- beware:   a yes stands until somebody writes no; a no older than policy trusts it reads as not known; of two that disagree on one day the
--           one that asks for more care
-- stored:   view
-- columns:
--   client_id             id       the person
--   transfers_alone       boolean  transfers without anybody's hands, alone or with somebody beside
--   wet_skin              boolean  skin is damp often or all the time
--   heat_discomfort       boolean  minds heat
--   cold_discomfort       boolean  minds cold
--   noise_discomfort      boolean  minds noise
--   motion_discomfort     boolean  minds movement
--   confused_or_restless  boolean  confused or restless
--   goal_to_move          boolean  moving more is a goal
--   fluid_balance_risk    boolean  fluid balance is fragile
--   electric_blanket      boolean  an electric blanket is in use
--   deflate_not_taught    boolean  for resuscitation, and carers do not know how to let the air out
--   height_cm             number   cm, as last measured
WITH answers AS (
    SELECT
        circumstances.client_id,
        MAX(CASE WHEN circumstances.transfers IN ('independent', 'standby') THEN circumstances.observed_on END) AS alone_yes,
        MAX(CASE WHEN circumstances.transfers IN ('assisted', 'hoisted') THEN circumstances.observed_on END) AS alone_no,
        MAX(CASE WHEN circumstances.moisture IN ('often', 'constant') THEN circumstances.observed_on END) AS wet_yes,
        MAX(CASE WHEN circumstances.moisture IN ('dry', 'occasional') THEN circumstances.observed_on END) AS wet_no,
        MAX(CASE WHEN circumstances.heat_discomfort THEN circumstances.observed_on END) AS heat_yes,
        MAX(CASE WHEN NOT circumstances.heat_discomfort THEN circumstances.observed_on END) AS heat_no,
        MAX(CASE WHEN circumstances.cold_discomfort THEN circumstances.observed_on END) AS cold_yes,
        MAX(CASE WHEN NOT circumstances.cold_discomfort THEN circumstances.observed_on END) AS cold_no,
        MAX(CASE WHEN circumstances.noise_discomfort THEN circumstances.observed_on END) AS noise_yes,
        MAX(CASE WHEN NOT circumstances.noise_discomfort THEN circumstances.observed_on END) AS noise_no,
        MAX(CASE WHEN circumstances.motion_discomfort THEN circumstances.observed_on END) AS motion_yes,
        MAX(CASE WHEN NOT circumstances.motion_discomfort THEN circumstances.observed_on END) AS motion_no,
        MAX(CASE WHEN circumstances.confused_or_restless THEN circumstances.observed_on END) AS restless_yes,
        MAX(CASE WHEN NOT circumstances.confused_or_restless THEN circumstances.observed_on END) AS restless_no,
        MAX(CASE WHEN circumstances.rehab_goal_mobility THEN circumstances.observed_on END) AS goal_yes,
        MAX(CASE WHEN NOT circumstances.rehab_goal_mobility THEN circumstances.observed_on END) AS goal_no,
        MAX(CASE WHEN circumstances.fluid_balance_risk THEN circumstances.observed_on END) AS fluid_yes,
        MAX(CASE WHEN NOT circumstances.fluid_balance_risk THEN circumstances.observed_on END) AS fluid_no,
        MAX(CASE WHEN circumstances.electric_blanket THEN circumstances.observed_on END) AS blanket_yes,
        MAX(CASE WHEN NOT circumstances.electric_blanket THEN circumstances.observed_on END) AS blanket_no,
        MAX(CASE WHEN circumstances.for_resuscitation THEN circumstances.observed_on END) AS resuscitation_yes,
        MAX(CASE WHEN NOT circumstances.for_resuscitation THEN circumstances.observed_on END) AS resuscitation_no,
        MAX(CASE WHEN circumstances.carers_know_deflate THEN circumstances.observed_on END) AS deflate_yes,
        MAX(CASE WHEN NOT circumstances.carers_know_deflate THEN circumstances.observed_on END) AS deflate_no,
        MAX(CASE WHEN circumstances.height_cm IS NOT NULL THEN circumstances.observed_on END) AS height_on
    FROM records.circumstances AS circumstances
    GROUP BY circumstances.client_id
),
heights AS (
    -- Of two heights of one day the smaller makes the body mass index larger, which asks for more care.
    SELECT circumstances.client_id, circumstances.observed_on, MIN(circumstances.height_cm) AS height_cm
    FROM records.circumstances AS circumstances
    WHERE circumstances.height_cm IS NOT NULL
    GROUP BY circumstances.client_id, circumstances.observed_on
)
SELECT
    answers.client_id,
    CASE
        WHEN answers.alone_yes >= COALESCE(answers.alone_no, answers.alone_yes) THEN TRUE
        WHEN date_diff('day', answers.alone_no, parameters.as_of) <= ages.transfers THEN FALSE
    END AS transfers_alone,
    CASE
        WHEN answers.wet_yes >= COALESCE(answers.wet_no, answers.wet_yes) THEN TRUE
        WHEN date_diff('day', answers.wet_no, parameters.as_of) <= ages.moisture THEN FALSE
    END AS wet_skin,
    CASE
        WHEN answers.heat_yes >= COALESCE(answers.heat_no, answers.heat_yes) THEN TRUE
        WHEN date_diff('day', answers.heat_no, parameters.as_of) <= ages.heat_discomfort THEN FALSE
    END AS heat_discomfort,
    CASE
        WHEN answers.cold_yes >= COALESCE(answers.cold_no, answers.cold_yes) THEN TRUE
        WHEN date_diff('day', answers.cold_no, parameters.as_of) <= ages.cold_discomfort THEN FALSE
    END AS cold_discomfort,
    CASE
        WHEN answers.noise_yes >= COALESCE(answers.noise_no, answers.noise_yes) THEN TRUE
        WHEN date_diff('day', answers.noise_no, parameters.as_of) <= ages.noise_discomfort THEN FALSE
    END AS noise_discomfort,
    CASE
        WHEN answers.motion_yes >= COALESCE(answers.motion_no, answers.motion_yes) THEN TRUE
        WHEN date_diff('day', answers.motion_no, parameters.as_of) <= ages.motion_discomfort THEN FALSE
    END AS motion_discomfort,
    CASE
        WHEN answers.restless_yes >= COALESCE(answers.restless_no, answers.restless_yes) THEN TRUE
        WHEN date_diff('day', answers.restless_no, parameters.as_of) <= ages.confused_or_restless THEN FALSE
    END AS confused_or_restless,
    CASE
        WHEN answers.goal_yes >= COALESCE(answers.goal_no, answers.goal_yes) THEN TRUE
        WHEN date_diff('day', answers.goal_no, parameters.as_of) <= ages.rehab_goal_mobility THEN FALSE
    END AS goal_to_move,
    CASE
        WHEN answers.fluid_yes >= COALESCE(answers.fluid_no, answers.fluid_yes) THEN TRUE
        WHEN date_diff('day', answers.fluid_no, parameters.as_of) <= ages.fluid_balance_risk THEN FALSE
    END AS fluid_balance_risk,
    CASE
        WHEN answers.blanket_yes >= COALESCE(answers.blanket_no, answers.blanket_yes) THEN TRUE
        WHEN date_diff('day', answers.blanket_no, parameters.as_of) <= ages.electric_blanket THEN FALSE
    END AS electric_blanket,
    -- Here "yes, they know" is the answer that must not be old, and "no" is the one that stands.
    CASE
        WHEN answers.resuscitation_yes >= COALESCE(answers.resuscitation_no, answers.resuscitation_yes) THEN TRUE
        WHEN date_diff('day', answers.resuscitation_no, parameters.as_of) <= ages.for_resuscitation THEN FALSE
    END
    AND CASE
        WHEN answers.deflate_no >= COALESCE(answers.deflate_yes, answers.deflate_no) THEN TRUE
        WHEN date_diff('day', answers.deflate_yes, parameters.as_of) <= ages.carers_know_deflate THEN FALSE
    END AS deflate_not_taught,
    heights.height_cm
FROM answers
CROSS JOIN policy.fact_ages AS ages
CROSS JOIN review.parameters AS parameters
LEFT JOIN heights ON heights.client_id = answers.client_id AND heights.observed_on = answers.height_on
ORDER BY answers.client_id
