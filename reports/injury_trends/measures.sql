-- What does each measure with a part of its own come to, and how is it to be read?
SELECT m.measure, m.label, m.counted, m.out_of, m.kind, m.per, m.good,
       c.month, c.measured_on, c.numerator, c.denominator, c.signal, c.conclusion, c.is_trial, c.signal_months,
       c.uncovered_months,
       CAST(round(c.rate * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 1) AS DECIMAL(18, 1)) AS shown,
       CAST(round(c.lower * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 1) AS DECIMAL(18, 1)) AS shown_lower,
       CAST(round(c.upper * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 1) AS DECIMAL(18, 1)) AS shown_upper,
       CAST(round(c.centre * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 1) AS DECIMAL(18, 1)) AS shown_centre,
       m.kind = 'density' OR c.denominator >= 50 AS has_percent
FROM policy.measures AS m
JOIN trends.conclusions AS c ON c.measure = m.measure
WHERE m.has_section
ORDER BY m.position, m.measure
