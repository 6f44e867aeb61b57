-- What may each team's figures show outside the team, in the month that each measure's sentence is about?
SELECT s.measure, m.label, m.kind, m.counted, m.out_of, s.month, s.team, s.is_kept_back, s.numerator, s.denominator,
       CAST(round(s.rate * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 1) AS DECIMAL(18, 1)) AS shown,
       CAST(round(s.lower * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 1) AS DECIMAL(18, 1)) AS shown_lower,
       CAST(round(s.upper * CASE m.kind WHEN 'proportion' THEN 100 ELSE 1 END, 1) AS DECIMAL(18, 1)) AS shown_upper,
       m.kind = 'density' OR s.denominator >= 50 AS has_percent
FROM trends.shareable AS s
JOIN trends.conclusions AS c ON c.measure = s.measure AND c.month = s.month
JOIN policy.measures AS m ON m.measure = s.measure AND m.has_section
ORDER BY m.position, s.measure, s.team
