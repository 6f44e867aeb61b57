-- What was tried before and failed?
SELECT t.client_id, t.position, t.surface_class, t.told
FROM fit.failed_trials AS t
WHERE list_contains($people, t.client_id)
ORDER BY t.client_id, t.position, t.surface_class
