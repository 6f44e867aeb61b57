-- What does each open injury ask for that no surface gives, and is it done?
SELECT o.client_id, o.injury_id, o.need_kind, o.location, o.side, o.reasons
FROM fit.offloading AS o
WHERE list_contains($people, o.client_id)
ORDER BY o.client_id, o.injury_id, o.need_kind
