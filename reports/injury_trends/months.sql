-- How has each of these measures moved for all teams, from its first month with a rate, and how much of it is known for certain?
SELECT t.measure, t.month, t.numerator, t.denominator, t.signal, t.signal_means, t.provisional,
       CAST(round(t.rate * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 1) AS DECIMAL(18, 1)) AS shown,
       CAST(round(t.lower * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 1) AS DECIMAL(18, 1)) AS shown_lower,
       CAST(round(t.upper * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 1) AS DECIMAL(18, 1)) AS shown_upper,
       CAST(round(t.centre * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 3) AS DECIMAL(18, 3)) AS centre,
       CAST(round(t.lower_limit * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 3) AS DECIMAL(18, 3)) AS lower_limit,
       CAST(round(t.upper_limit * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 3) AS DECIMAL(18, 3)) AS upper_limit,
       CAST(round(t.rate * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 3) AS DECIMAL(18, 3)) AS rate,
       certain.numerator AS certain
FROM trends.measures AS t
JOIN policy.measures AS m ON m.measure = t.measure AND m.has_section
JOIN (
    SELECT measure, min(month) AS month FROM trends.measures WHERE team IS NULL AND rate IS NOT NULL GROUP BY measure
) AS earliest ON earliest.measure = t.measure AND t.month >= earliest.month
LEFT JOIN trends.measures AS certain
    ON certain.measure = replace(t.measure, 'new_', 'acquired_') AND certain.measure <> t.measure
    AND certain.month = t.month AND certain.team IS NULL
WHERE t.team IS NULL
ORDER BY m.position, t.measure, t.month
