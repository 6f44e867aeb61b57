-- A band above the lowest rung against an injury seen later: what a published two-by-two table says, asked of the warehouse.
WITH told AS (
    SELECT
        scores.scale,
        scores.client_id,
        scores.risk_rung > 0 AS is_positive,
        EXISTS (
            SELECT 1
            FROM wounds.course
            WHERE course.client_id = scores.client_id AND course.observed_at > scores.assessed_at
        ) AS has_injury
    FROM risk.scores
    WHERE scores.risk_rung IS NOT NULL
),
counts AS (
    SELECT
        told.scale,
        CAST(SUM(CASE WHEN told.is_positive AND told.has_injury THEN 1 ELSE 0 END) AS DECIMAL(18, 4)) AS tp,
        CAST(SUM(CASE WHEN NOT told.is_positive AND told.has_injury THEN 1 ELSE 0 END) AS DECIMAL(18, 4)) AS fn,
        CAST(SUM(CASE WHEN NOT told.is_positive AND NOT told.has_injury THEN 1 ELSE 0 END) AS DECIMAL(18, 4)) AS tn,
        CAST(SUM(CASE WHEN told.is_positive AND NOT told.has_injury THEN 1 ELSE 0 END) AS DECIMAL(18, 4)) AS fp
    FROM told
    GROUP BY told.scale
),
shares AS (
    SELECT
        counts.scale,
        counts.tp,
        counts.fn,
        counts.tn,
        counts.fp,
        counts.tp / NULLIF(counts.tp + counts.fn, 0) AS sensitivity,
        counts.tn / NULLIF(counts.tn + counts.fp, 0) AS specificity,
        counts.tp / NULLIF(counts.tp + counts.fp, 0) AS predictive_of_injury,
        counts.tn / NULLIF(counts.tn + counts.fn, 0) AS predictive_of_none,
        (counts.tp + counts.tn) / NULLIF(counts.tp + counts.fn + counts.tn + counts.fp, 0) AS accuracy,
        counts.tp * counts.tn / NULLIF(counts.fp * counts.fn, 0) AS odds_ratio
    FROM counts
)
SELECT
    scale, tp, fn, tn, fp, sensitivity, specificity, predictive_of_injury, predictive_of_none, accuracy, odds_ratio,
    sensitivity / NULLIF(1 - specificity, 0) AS likelihood_if_positive,
    (1 - sensitivity) / NULLIF(specificity, 0) AS likelihood_if_negative,
    sensitivity + specificity - 1 AS youden,
    (sensitivity + specificity) / 2 AS area_under_curve
FROM shares
