-- Where do the sources disagree about what this person needs?
SELECT c.client_id, c.position, c.classes, c.says, c.source
FROM fit.conflicts AS c
WHERE list_contains($people, c.client_id)
ORDER BY c.client_id, c.position, c.conflict
