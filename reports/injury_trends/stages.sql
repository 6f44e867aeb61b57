-- Of the last twelve months that can be relied on: how many new injuries of each stage, and how many of them for certain?
WITH year AS (
    SELECT month FROM (
        SELECT month, row_number() OVER (ORDER BY month DESC) AS back FROM trends.months
        WHERE NOT is_provisional AND injuries_known
    ) WHERE back <= 12
)
SELECT s.stage, s.label,
       CAST(sum(n.numerator) AS INTEGER) AS injuries,
       CAST(sum(a.numerator) AS INTEGER) AS certain,
       min(n.month) AS first_month, max(n.month) AS last_month
FROM policy.stages AS s
JOIN trends.measures AS n ON n.measure = 'new_injuries_' || s.stage AND n.team IS NULL AND n.numerator IS NOT NULL
JOIN trends.measures AS a ON a.measure = 'acquired_injuries_' || s.stage AND a.team IS NULL AND a.month = n.month
JOIN year ON year.month = n.month
GROUP BY s.stage, s.label
ORDER BY min(s.numbered) NULLS LAST, min(s.injury_rung) DESC NULLS LAST, s.stage
