-- question: Is anybody called matched or above need while need, surface or a held row leaves it open?
-- inputs:   fit.need, fit.provision, fit.stops, state.clients, state.surfaces
SELECT provision.client_id, provision.position, provision.verdict
FROM fit.provision AS provision
INNER JOIN fit.need AS need ON need.client_id = provision.client_id AND need.position = provision.position
INNER JOIN state.clients AS clients ON clients.client_id = provision.client_id
LEFT JOIN state.surfaces AS surfaces
    ON surfaces.client_id = provision.client_id AND surfaces.position = provision.position
LEFT JOIN fit.stops AS stops ON stops.client_id = provision.client_id AND stops.position = provision.position
WHERE provision.verdict IN ('matched', 'over_provided')
    AND (
        clients.caps_verdict
        OR NOT COALESCE(surfaces.is_certain, FALSE)
        OR surfaces.risk_level_max < need.need_at_most
        OR surfaces.injury_stage_max < need.injury_at_most
        OR stops.loan_id IS NOT NULL
    )
