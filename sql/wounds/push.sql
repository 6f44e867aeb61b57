-- question: What does the PUSH tool make of each look at a wound?
-- grain:    one row per injury_observation_id
-- key:      injury_observation_id
-- inputs:   records.injuries, policy.push_scores
-- beware:   a look without area, exudate or tissue has no total, whatever total it states
-- columns:
--   injury_observation_id  id       the look
--   injury_id              id       the wound
--   area_score             integer  0 to 10, points for length times width; blank where one is not recorded
--   exudate_score          integer  0 to 3; blank where not recorded
--   tissue_score           integer  0 to 4; blank where not recorded
--   push_total             integer  0 to 17, their sum, falling as the wound heals; blank unless all three are there
--   recorded_push_total    integer  the total that the source states
--   push_agrees            boolean  the two totals are equal; blank when one is absent
-- A wound that was found closed has no area, no exudate and closed tissue, whether or not each was written down.
WITH looks AS (
    SELECT
        injury_observation_id,
        injury_id,
        CASE WHEN status = 'closed' THEN 0 ELSE CAST(length_cm * width_cm AS DECIMAL(18, 4)) END AS area_cm2,
        CASE WHEN status = 'closed' THEN 'none' ELSE exudate END AS exudate,
        CASE WHEN status = 'closed' THEN 'closed' ELSE tissue END AS tissue,
        recorded_push_total
    FROM records.injuries
),
scored AS (
    SELECT
        looks.injury_observation_id,
        looks.injury_id,
        looks.recorded_push_total,
        MAX(CASE WHEN push_scores.counts_from <= looks.area_cm2 THEN push_scores.score END) AS area_score,
        MAX(CASE WHEN push_scores.part = 'exudate' AND push_scores.code = looks.exudate THEN push_scores.score END)
            AS exudate_score,
        MAX(CASE WHEN push_scores.part = 'tissue' AND push_scores.code = looks.tissue THEN push_scores.score END)
            AS tissue_score
    FROM looks
    CROSS JOIN policy.push_scores
    GROUP BY looks.injury_observation_id, looks.injury_id, looks.recorded_push_total
)
SELECT
    injury_observation_id,
    injury_id,
    area_score,
    exudate_score,
    tissue_score,
    area_score + exudate_score + tissue_score AS push_total,
    recorded_push_total,
    recorded_push_total = area_score + exudate_score + tissue_score AS push_agrees
FROM scored
