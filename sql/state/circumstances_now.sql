-- question: What was last recorded of the circumstances that decide need and step-down?
-- grain:    one row per person with any circumstances recorded
-- key:      client_id
-- inputs:   records.circumstances
-- beware:   a blank was not asked, so the newest answer stands, whatever its age; of two that disagree on one day the one that asks for
--           more care
-- columns:
--   client_id              id       the person
--   spinal_cord_injury     boolean  last recorded
--   comfort_first          boolean  last recorded
--   progressive_condition  boolean  last recorded
--   sleeps_in_chair        boolean  last recorded
--   outage_plan            boolean  last recorded
--   flap_surgery_on        date     newest day of flap surgery recorded
--   fell_on                date     newest day of a fall recorded
--   acute_illness_on       date     newest day of an acute illness recorded
WITH answers AS (
    SELECT
        circumstances.client_id,
        MAX(CASE WHEN circumstances.spinal_cord_injury THEN circumstances.observed_on END) AS sci_yes,
        MAX(CASE WHEN NOT circumstances.spinal_cord_injury THEN circumstances.observed_on END) AS sci_no,
        MAX(CASE WHEN circumstances.comfort_first THEN circumstances.observed_on END) AS comfort_yes,
        MAX(CASE WHEN NOT circumstances.comfort_first THEN circumstances.observed_on END) AS comfort_no,
        MAX(CASE WHEN circumstances.progressive_condition THEN circumstances.observed_on END) AS progressive_yes,
        MAX(CASE WHEN NOT circumstances.progressive_condition THEN circumstances.observed_on END) AS progressive_no,
        MAX(CASE WHEN circumstances.sleeps_in_chair THEN circumstances.observed_on END) AS chair_yes,
        MAX(CASE WHEN NOT circumstances.sleeps_in_chair THEN circumstances.observed_on END) AS chair_no,
        MAX(CASE WHEN circumstances.outage_plan THEN circumstances.observed_on END) AS plan_yes,
        MAX(CASE WHEN NOT circumstances.outage_plan THEN circumstances.observed_on END) AS plan_no,
        MAX(circumstances.flap_surgery_on) AS flap_surgery_on,
        MAX(circumstances.fell_on) AS fell_on,
        MAX(circumstances.acute_illness_on) AS acute_illness_on
    FROM records.circumstances AS circumstances
    GROUP BY circumstances.client_id
)
SELECT
    answers.client_id,
    CASE
        WHEN answers.sci_yes >= COALESCE(answers.sci_no, answers.sci_yes) THEN TRUE
        WHEN answers.sci_no IS NOT NULL THEN FALSE
    END AS spinal_cord_injury,
    CASE
        WHEN answers.comfort_yes >= COALESCE(answers.comfort_no, answers.comfort_yes) THEN TRUE
        WHEN answers.comfort_no IS NOT NULL THEN FALSE
    END AS comfort_first,
    CASE
        WHEN answers.progressive_yes >= COALESCE(answers.progressive_no, answers.progressive_yes) THEN TRUE
        WHEN answers.progressive_no IS NOT NULL THEN FALSE
    END AS progressive_condition,
    CASE
        WHEN answers.chair_yes >= COALESCE(answers.chair_no, answers.chair_yes) THEN TRUE
        WHEN answers.chair_no IS NOT NULL THEN FALSE
    END AS sleeps_in_chair,
    -- Two answers of one day that disagree about a plan read as no plan, which asks for more care.
    CASE
        WHEN answers.plan_no >= COALESCE(answers.plan_yes, answers.plan_no) THEN FALSE
        WHEN answers.plan_yes IS NOT NULL THEN TRUE
    END AS outage_plan,
    answers.flap_surgery_on,
    answers.fell_on,
    answers.acute_illness_on
FROM answers
