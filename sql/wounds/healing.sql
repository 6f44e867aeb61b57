-- question: Is a wound getting smaller, by how much, and since when?
-- grain:    one row per injury_observation_id
-- key:      injury_observation_id
-- inputs:   wounds.staged, records.injuries, policy.stages, policy.parameters
-- beware:   an area without a word is length times width; an ellipse of the same length and width is smaller by a fifth
-- columns:
--   injury_observation_id     id       the look
--   injury_id                 id       the wound
--   look                      integer  1 for the first look at the wound
--   area_cm2                  number   cm2, length times width
--   ellipse_area_cm2          number   cm2, of an ellipse of that length and width
--   ellipse_perimeter_cm      number   cm, round that ellipse (Ramanujan's second formula)
--   base_look                 integer  the first measured look since it opened or was last debrided
--   percent_area_reduction    number   %, smaller than at that look, whichever way the area is made; negative = larger
--   margin_advance_cm         number   cm, how far the margin of the ellipse moved inwards since that look (Gilman)
--   margin_advance_cm_a_week  number   cm a week since that look; blank on its day
--   short_window_reduction    number   %, smaller than at the newest measured look as old as the short window; blank without one
--   long_window_reduction     number   %, the same for the long window
--   trend                     code better|stalled|stalled_long|worse|too_early|exempt|closed  how it does; blank where that cannot be told
-- Both windows, and what counts as a fall, as growth and as deeper, stand in policy.parameters. Area is judged from the last
-- debridement on, which makes a wound larger to make it heal; a deeper stage is worse whatever was debrided. What opens from
-- unstageable or deep tissue to a 3 or a 4 is not deeper: that depth was there. Worse looks at every earlier look back to the
-- newest one that is as old as the short window.
-- exempt: would be stalled, but is left as it is: dry stable eschar on a heel, or a deep-tissue injury of the first days.
-- Where the facts that would exempt it are not recorded, a wound that does not shrink has no trend: nobody can tell.
-- Margin advance is the area lost divided by the mean of the two perimeters, so that small and large wounds compare.
WITH measured AS (
    SELECT
        staged.injury_observation_id,
        staged.injury_id,
        staged.look,
        staged.episode,
        CAST(staged.observed_at AS DATE) AS observed_on,
        staged.is_closed,
        staged.effective_stage,
        staged.deep_tissue_since,
        stages.injury_rung,
        stages.numbered,
        injuries.depth_cm,
        CAST(injuries.length_cm * injuries.width_cm AS DECIMAL(18, 4)) AS area_cm2,
        PI() / 4 * injuries.length_cm * injuries.width_cm AS ellipse_area,
        COALESCE(
            (injuries.length_cm - injuries.width_cm) / NULLIF(injuries.length_cm + injuries.width_cm, 0), 0
        ) AS oblongness,
        injuries.length_cm + injuries.width_cm AS both_axes,
        staged.effective_stage = 'unstageable'
            AND NULLIF(injuries.location, 'not_recorded') = 'heel'
            AND injuries.tissue = 'necrotic'
            AND injuries.exudate = 'none'
            AND NOT injuries.signs_of_infection AS is_dry_heel_eschar,
        -- A day before all records stands for "never debrided", so that two such looks are equal.
        MAX(COALESCE(injuries.debrided_on, DATE '1900-01-01')) OVER (
            PARTITION BY staged.injury_id, staged.episode ORDER BY staged.look ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS debrided_on
    FROM wounds.staged
    INNER JOIN records.injuries ON injuries.injury_observation_id = staged.injury_observation_id
    INNER JOIN policy.stages ON stages.stage = staged.effective_stage
),
limits AS (
    SELECT
        MAX(CASE WHEN name = 'healing_short_days' THEN amount END) AS short_days,
        MAX(CASE WHEN name = 'healing_short_fall_percent' THEN amount END) AS short_fall,
        MAX(CASE WHEN name = 'healing_long_days' THEN amount END) AS long_days,
        MAX(CASE WHEN name = 'healing_long_fall_percent' THEN amount END) AS long_fall,
        MAX(CASE WHEN name = 'worse_growth_percent' THEN amount END) AS growth,
        MAX(CASE WHEN name = 'worse_depth_cm' THEN amount END) AS deeper,
        MAX(CASE WHEN name = 'deep_tissue_watch_days' THEN amount END) AS watch_days
    FROM policy.parameters
),
-- Of each look: the day of the next one, of any kind and with a measure. A look is the newest of some age exactly where the
-- next one is younger than that.
followed AS (
    SELECT
        measured.*,
        PI() / 2 * measured.both_axes
        * (1 + 3 * POWER(measured.oblongness, 2) / NULLIF(10 + SQRT(4 - 3 * POWER(measured.oblongness, 2)), 0)) AS perimeter,
        LEAD(measured.observed_on) OVER (PARTITION BY measured.injury_id, measured.episode ORDER BY measured.look) AS next_on,
        MIN(CASE WHEN measured.area_cm2 IS NOT NULL THEN measured.observed_on END) OVER (
            PARTITION BY measured.injury_id, measured.episode, measured.debrided_on
            ORDER BY measured.look ROWS BETWEEN 1 FOLLOWING AND UNBOUNDED FOLLOWING
        ) AS next_measured_on,
        MIN(CASE WHEN measured.depth_cm IS NOT NULL THEN measured.observed_on END) OVER (
            PARTITION BY measured.injury_id, measured.episode, measured.debrided_on
            ORDER BY measured.look ROWS BETWEEN 1 FOLLOWING AND UNBOUNDED FOLLOWING
        ) AS next_probed_on,
        MIN(CASE WHEN measured.area_cm2 IS NOT NULL THEN measured.look END) OVER (
            PARTITION BY measured.injury_id, measured.episode, measured.debrided_on
        ) AS base_look
    FROM measured
),
paired AS (
    SELECT
        later.injury_observation_id,
        later.debrided_on = earlier.debrided_on AS has_one_base,
        date_diff('day', earlier.observed_on, later.observed_on) AS days,
        date_diff('day', earlier.next_on, later.observed_on) AS days_after_next,
        date_diff('day', earlier.next_measured_on, later.observed_on) AS days_after_measured,
        date_diff('day', earlier.next_probed_on, later.observed_on) AS days_after_probed,
        earlier.area_cm2,
        earlier.depth_cm,
        earlier.injury_rung,
        earlier.numbered
    FROM followed AS later
    INNER JOIN followed AS earlier
        ON earlier.injury_id = later.injury_id AND earlier.episode = later.episode AND earlier.look < later.look
),
compared AS (
    SELECT
        paired.injury_observation_id,
        MAX(
            CASE
                WHEN paired.has_one_base AND paired.days >= limits.short_days AND paired.days_after_measured < limits.short_days
                    THEN paired.area_cm2
            END
        ) AS short_area,
        MAX(
            CASE
                WHEN paired.has_one_base AND paired.days >= limits.long_days AND paired.days_after_measured < limits.long_days
                    THEN paired.area_cm2
            END
        ) AS long_area,
        MIN(
            CASE WHEN paired.has_one_base AND paired.days_after_measured < limits.short_days THEN paired.area_cm2 END
        ) AS least_area,
        MIN(
            CASE WHEN paired.has_one_base AND paired.days_after_probed < limits.short_days THEN paired.depth_cm END
        ) AS least_depth,
        MIN(CASE WHEN paired.days_after_next < limits.short_days THEN paired.injury_rung END) AS least_rung,
        MIN(CASE WHEN paired.days_after_next < limits.short_days THEN paired.numbered END) AS least_number
    FROM paired
    CROSS JOIN limits
    GROUP BY paired.injury_observation_id
),
judged AS (
    SELECT
        followed.*,
        compared.short_area,
        bases.area_cm2 AS base_area,
        date_diff('day', bases.observed_on, followed.observed_on) AS days_since_base,
        100 * (bases.area_cm2 - followed.area_cm2) / NULLIF(bases.area_cm2, 0) AS reduction,
        100 * (compared.short_area - followed.area_cm2) / NULLIF(compared.short_area, 0) AS short_reduction,
        100 * (compared.long_area - followed.area_cm2) / NULLIF(compared.long_area, 0) AS long_reduction,
        (bases.ellipse_area - followed.ellipse_area) / NULLIF((bases.perimeter + followed.perimeter) / 2, 0) AS advance,
        (followed.area_cm2 > compared.least_area AND followed.area_cm2 * 100 >= compared.least_area * (100 + limits.growth))
        OR followed.depth_cm - compared.least_depth >= limits.deeper
        OR followed.injury_rung > compared.least_rung
        OR followed.numbered > compared.least_number AS is_worse,
        followed.is_dry_heel_eschar OR (
            followed.effective_stage = 'deep_tissue_injury'
            AND date_diff('day', followed.deep_tissue_since, followed.observed_on) < limits.watch_days
        ) AS is_exempt,
        limits.short_fall,
        limits.long_fall
    FROM followed
    CROSS JOIN limits
    LEFT JOIN compared ON compared.injury_observation_id = followed.injury_observation_id
    LEFT JOIN followed AS bases ON bases.injury_id = followed.injury_id AND bases.look = followed.base_look
)
SELECT
    judged.injury_observation_id,
    judged.injury_id,
    judged.look,
    judged.area_cm2,
    CAST(judged.ellipse_area AS DECIMAL(18, 4)) AS ellipse_area_cm2,
    CAST(judged.perimeter AS DECIMAL(18, 4)) AS ellipse_perimeter_cm,
    judged.base_look,
    CAST(ROUND(judged.reduction, 2) AS DECIMAL(18, 4)) AS percent_area_reduction,
    CAST(judged.advance AS DECIMAL(18, 4)) AS margin_advance_cm,
    CAST(7 * judged.advance / NULLIF(judged.days_since_base, 0) AS DECIMAL(18, 4)) AS margin_advance_cm_a_week,
    CAST(ROUND(judged.short_reduction, 2) AS DECIMAL(18, 4)) AS short_window_reduction,
    CAST(ROUND(judged.long_reduction, 2) AS DECIMAL(18, 4)) AS long_window_reduction,
    CASE
        WHEN judged.is_closed THEN 'closed'
        WHEN judged.is_worse THEN 'worse'
        WHEN (judged.short_reduction < judged.short_fall OR judged.long_reduction < judged.long_fall) AND judged.is_exempt
            THEN 'exempt'
        WHEN judged.long_reduction < judged.long_fall AND NOT judged.is_exempt THEN 'stalled_long'
        WHEN judged.short_reduction < judged.short_fall AND NOT judged.is_exempt THEN 'stalled'
        WHEN judged.short_reduction >= judged.short_fall OR judged.reduction >= judged.short_fall THEN 'better'
        WHEN judged.area_cm2 IS NOT NULL AND judged.short_area IS NULL THEN 'too_early'
    END AS trend
FROM judged
