-- What must bed and seat carry, why, what is missing to say so, and does what they have carry it?
SELECT n.position, n.need_level, n.reasons, n.missing, f.label AS at_least, p.loan_id, p.surface_class, p.verdict,
       p.reasons AS verdict_reasons, p.cautions, p.is_asked
FROM fit.need AS n
LEFT JOIN policy.need_levels AS f ON f.rung = n.need_at_least
LEFT JOIN fit.provision AS p ON p.client_id = n.client_id AND p.position = n.position
WHERE n.client_id = $client_id
ORDER BY n.position
