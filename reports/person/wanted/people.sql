-- Who has an open finding or something unknown, in the order of the list, and whose id differs from another's in capitals alone?
SELECT c.client_id, c.alike > 1 AS is_alike, c.has_page
FROM (
    SELECT s.client_id, count(*) OVER (PARTITION BY lower(s.client_id)) AS alike,
           f.client_id IS NOT NULL OR u.client_id IS NOT NULL AS has_page
    FROM state.clients AS s
    LEFT JOIN (
        SELECT client_id FROM audit.findings WHERE status IN ('open', 'backlog', 'returned') GROUP BY client_id
    ) AS f ON f.client_id = s.client_id
    LEFT JOIN (SELECT client_id FROM audit.unknowns GROUP BY client_id) AS u ON u.client_id = s.client_id
) AS c
LEFT JOIN audit.worklist AS w ON w.client_id = c.client_id
ORDER BY w.rank NULLS LAST, c.client_id
