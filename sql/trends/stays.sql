-- question: On which days was each person on the caseload, and with which team?
-- grain:    one row per person and stretch of days with the same placements in force
-- key:      client_id, from_on
-- inputs:   records.placements, review.parameters
-- beware:   stretches never overlap: of several placements in force the newest decides team and setting, as in state.placements
-- columns:
--   client_id      id                            the person
--   from_on        date                          first day
--   until_on       date                          the day after the last one; the person is counted on a day at its end
--   spell_from_on  date                          first day of the unbroken time on the caseload that this stretch belongs to
--   placement_id   id                            the placement that decides
--   care_setting   code placements.care_setting  its setting
--   team           text                          its team
-- Cutting time at every start and end and choosing one placement for each piece merges overlapping stays without
-- counting a day twice, and gives each day to one team, so that teams add up to the whole.
WITH deaths AS (
    SELECT placements.client_id, MAX(CAST(placements.ended_at AS DATE)) AS died_on
    FROM records.placements
    WHERE placements.end_reason = 'died'
    GROUP BY placements.client_id
),
said AS (
    SELECT
        placements.client_id,
        placements.placement_id,
        placements.care_setting,
        placements.team,
        placements.started_at,
        CAST(placements.started_at AS DATE) AS started_on,
        COALESCE(CAST(placements.ended_at AS DATE), parameters.as_of + 1) AS ended_on,
        deaths.died_on
    FROM records.placements
    CROSS JOIN review.parameters
    LEFT JOIN deaths ON deaths.client_id = placements.client_id
),
spans AS (
    SELECT
        said.client_id,
        said.placement_id,
        said.care_setting,
        said.team,
        said.started_at,
        said.started_on,
        -- A death closes every stay that was open on that day, also one whose own end never reached us.
        CASE WHEN said.died_on >= said.started_on THEN LEAST(said.died_on, said.ended_on) ELSE said.ended_on END
            AS ended_on
    FROM said
),
edges AS (
    SELECT spans.client_id, spans.started_on AS edge_on
    FROM spans
    WHERE spans.ended_on > spans.started_on
    UNION
    SELECT spans.client_id, spans.ended_on AS edge_on
    FROM spans
    WHERE spans.ended_on > spans.started_on
),
pieces AS (
    SELECT
        edges.client_id,
        edges.edge_on AS from_on,
        LEAD(edges.edge_on) OVER (PARTITION BY edges.client_id ORDER BY edges.edge_on) AS until_on
    FROM edges
),
ranked AS (
    SELECT
        pieces.client_id,
        pieces.from_on,
        pieces.until_on,
        spans.placement_id,
        spans.care_setting,
        spans.team,
        ROW_NUMBER() OVER (
            PARTITION BY pieces.client_id, pieces.from_on ORDER BY spans.started_at DESC, spans.placement_id DESC
        ) AS newest
    FROM pieces
    INNER JOIN spans
        ON spans.client_id = pieces.client_id
        AND spans.started_on <= pieces.from_on
        AND spans.ended_on >= pieces.until_on
),
followed AS (
    SELECT
        ranked.client_id,
        ranked.from_on,
        ranked.until_on,
        ranked.placement_id,
        ranked.care_setting,
        ranked.team,
        LAG(ranked.until_on) OVER (PARTITION BY ranked.client_id ORDER BY ranked.from_on) AS until_before
    FROM ranked
    WHERE ranked.newest = 1
)
SELECT
    followed.client_id,
    followed.from_on,
    followed.until_on,
    MAX(CASE WHEN followed.until_before = followed.from_on THEN NULL ELSE followed.from_on END) OVER (
        PARTITION BY followed.client_id ORDER BY followed.from_on ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
    ) AS spell_from_on,
    followed.placement_id,
    followed.care_setting,
    followed.team
FROM followed
ORDER BY followed.client_id, followed.from_on
