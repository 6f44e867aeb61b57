-- question: Where on the body are the open pressure injuries, and how many of them are deep?
-- beware:   a wound whose cause is not settled is left out; a healing stage 4 is a stage 4 still
SELECT o.location,
       count(*) AS injuries,
       count(DISTINCT o.client_id) AS people,
       count(*) FILTER (WHERE o.is_full_thickness) AS full_thickness,
       count(*) FILTER (WHERE o.is_full_thickness IS NULL) AS depth_not_known
FROM wounds.open AS o
WHERE o.is_pressure
GROUP BY o.location
ORDER BY injuries DESC, o.location
