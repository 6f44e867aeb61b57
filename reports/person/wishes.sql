-- What matters to the person, of what orders the options?
SELECT f.client_id, p.label
FROM fit.person_facts AS f
INNER JOIN policy.fit_priorities AS p ON p.fact = f.fact
WHERE f.position = 'lying' AND f.fact <> 'always' AND f.is_true AND list_contains($people, f.client_id)
ORDER BY f.client_id, p.listed
