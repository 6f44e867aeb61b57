-- question: Which figures of the teams may leave the service, month by month?
-- beware:   small counts are blank here; trends.measures has them all, for those who look after these people
-- figure:   Each team, in injury trends
SELECT m.label AS measure, s.month, s.team, s.is_kept_back, s.numerator, s.denominator, s.rate,
       s.lower, s.upper
FROM trends.shareable AS s
JOIN policy.measures AS m ON m.measure = s.measure
ORDER BY m.position, s.month DESC, s.team
