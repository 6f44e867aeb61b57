-- What do bed and seat have to carry, why, and does what they have carry it?
SELECT n.client_id, n.position, n.need_level, n.need_at_least, n.reasons, n.missing, p.surface_class, p.verdict, p.reasons AS provision_reasons,
       p.cautions, p.is_asked, at_least.label AS at_least_label
FROM fit.need AS n
LEFT JOIN fit.provision AS p ON p.client_id = n.client_id AND p.position = n.position
LEFT JOIN policy.need_levels AS at_least ON at_least.rung = n.need_at_least
WHERE list_contains($people, n.client_id)
ORDER BY n.client_id, n.position
