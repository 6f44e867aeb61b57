-- What does each person lie and sit on, against what they need?
SELECT n.client_id, n.position, n.need_level, p.surface_class, p.verdict, p.cautions
FROM fit.need AS n
JOIN fit.provision AS p ON p.client_id = n.client_id AND p.position = n.position
WHERE p.is_asked
ORDER BY n.client_id, n.position
