-- Which records do the person's place, newest score, newest form, surfaces and open wounds come from, and who sent them?
SELECT feed, record_id, updated_at, source, CAST(NULL AS VARCHAR) AS file_name, CAST(NULL AS INTEGER) AS source_row
FROM (
    SELECT 'clients' AS feed, client_id AS record_id, updated_at, source
    FROM records.clients
    WHERE client_id = $client_id
    UNION ALL
    SELECT 'placements', p.placement_id, p.updated_at, p.source
    FROM records.placements AS p
    JOIN state.clients AS c ON c.client_id = p.client_id AND c.placement_id = p.placement_id
    WHERE p.client_id = $client_id
    UNION ALL
    SELECT 'assessments', a.assessment_id, a.updated_at, a.source
    FROM records.assessments AS a
    JOIN risk.latest AS l ON l.client_id = a.client_id AND l.assessment_id = a.assessment_id
    WHERE a.client_id = $client_id
    UNION ALL
    SELECT 'circumstances', circumstances_id, updated_at, source
    FROM (
        SELECT circumstances_id, updated_at, source,
               row_number() OVER (ORDER BY observed_on DESC NULLS LAST, circumstances_id) AS place
        FROM records.circumstances
        WHERE client_id = $client_id
    )
    WHERE place = 1
    UNION ALL
    SELECT 'injuries', injury_observation_id, updated_at, source
    FROM (
        SELECT i.injury_observation_id, i.updated_at, i.source,
               row_number() OVER (
                   PARTITION BY i.injury_id ORDER BY i.observed_at DESC NULLS LAST, i.injury_observation_id
               ) AS place
        FROM records.injuries AS i
        JOIN wounds.open AS o ON o.client_id = i.client_id AND o.injury_id = i.injury_id
        WHERE i.client_id = $client_id
    )
    WHERE place = 1
    UNION ALL
    SELECT 'loans', r.loan_id, r.updated_at, r.source
    FROM records.loans AS r
    JOIN state.loans AS s ON s.client_id = r.client_id AND s.loan_id = r.loan_id
    WHERE r.client_id = $client_id
) AS standing
ORDER BY feed, record_id
