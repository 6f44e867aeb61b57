-- How many injuries of each first stage were found healed, and how soon? Percentages from fifty injuries on.
WITH horizons AS (
    SELECT 28 AS soon_days, 84 AS later_days
), told AS (
    SELECT h.first_stage, max(h.injuries) AS injuries, sum(h.healed) AS healed, sum(h.died) AS died,
           max(CASE WHEN h.days <= z.soon_days THEN h.healed_share END) AS soon,
           1 - min(CASE WHEN h.days <= z.soon_days THEN h.not_healed END) AS soon_km,
           max(CASE WHEN h.days <= z.later_days THEN h.healed_share END) AS later,
           1 - min(CASE WHEN h.days <= z.later_days THEN h.not_healed END) AS later_km,
           min(CASE WHEN h.healed_share >= 0.5 THEN h.days END) AS half_after,
           -- Beyond the last of them nobody was followed, unless none is left.
           max(h.days) >= z.soon_days OR min(h.not_healed) = 0 AS reaches_soon,
           max(h.days) >= z.later_days OR min(h.not_healed) = 0 AS reaches_later,
           z.soon_days, z.later_days
    FROM trends.healing AS h
    CROSS JOIN horizons AS z
    GROUP BY h.first_stage, z.soon_days, z.later_days
)
SELECT t.first_stage, t.injuries, CAST(t.healed AS INTEGER) AS healed, CAST(t.died AS INTEGER) AS died,
       t.soon_days, t.later_days, t.half_after, t.injuries >= 50 AS has_percent,
       CAST(CASE WHEN t.reaches_soon THEN round(100 * coalesce(t.soon, 0), 1) END AS DECIMAL(18, 1)) AS soon,
       CAST(CASE WHEN t.reaches_soon THEN round(100 * coalesce(t.soon_km, 0), 1) END AS DECIMAL(18, 1)) AS soon_km,
       CAST(CASE WHEN t.reaches_later THEN round(100 * coalesce(t.later, 0), 1) END AS DECIMAL(18, 1)) AS later,
       CAST(CASE WHEN t.reaches_later THEN round(100 * coalesce(t.later_km, 0), 1) END AS DECIMAL(18, 1)) AS later_km
FROM told AS t
LEFT JOIN policy.stages AS s ON s.stage = t.first_stage
ORDER BY t.first_stage IS NOT NULL, s.numbered NULLS LAST, s.injury_rung DESC NULLS LAST, t.first_stage
