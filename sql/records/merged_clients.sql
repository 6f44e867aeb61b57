-- question: Which pseudonym does a merged pseudonym stand for now?
-- grain:    one row per merged pseudonym
-- key:      old_client_id
-- inputs:   records.readings, store.merges, review.parameters
-- beware:   chains are followed for 64 steps; pseudonyms that point at each other in a circle all become the first of them by name
-- columns:
--   old_client_id   id                          a pseudonym that is no longer used
--   client_id       id                          the pseudonym at the end of the chain
-- Each step doubles the distance that has been walked, so six joins follow 64 merges without recursion.
WITH newest AS (
    SELECT
        readings.record_id,
        readings.client_id,
        merges.merged_on,
        readings.is_removed,
        readings.is_absent,
        ROW_NUMBER() OVER (
            PARTITION BY readings.record_id, readings.source
            ORDER BY readings.version_number DESC
        ) AS place,
        readings.updated_at,
        readings.received_at,
        readings.source
    FROM records.readings
    INNER JOIN store.merges ON merges.file_key = readings.file_key AND merges.source_row = readings.source_row
    WHERE readings.feed = 'merges' AND readings.standing = 'live' AND readings.repeats IS NULL
),
in_force AS (
    SELECT
        newest.record_id,
        newest.client_id,
        ROW_NUMBER() OVER (
            PARTITION BY newest.record_id
            ORDER BY newest.updated_at DESC, newest.received_at DESC, newest.source
        ) AS place
    FROM newest
    CROSS JOIN review.parameters
    WHERE newest.place = 1
        AND NOT newest.is_removed
        AND NOT newest.is_absent
        AND newest.merged_on <= parameters.as_of
        AND newest.client_id <> newest.record_id
),
steps_1 AS (
    SELECT record_id AS id, client_id AS far, client_id AS lowest
    FROM in_force
    WHERE place = 1
),
steps_2 AS (
    SELECT
        near.id,
        COALESCE(next.far, near.far) AS far,
        LEAST(near.lowest, COALESCE(next.lowest, near.lowest)) AS lowest
    FROM steps_1 AS near
    LEFT JOIN steps_1 AS next ON next.id = near.far
),
steps_4 AS (
    SELECT
        near.id,
        COALESCE(next.far, near.far) AS far,
        LEAST(near.lowest, COALESCE(next.lowest, near.lowest)) AS lowest
    FROM steps_2 AS near
    LEFT JOIN steps_2 AS next ON next.id = near.far
),
steps_8 AS (
    SELECT
        near.id,
        COALESCE(next.far, near.far) AS far,
        LEAST(near.lowest, COALESCE(next.lowest, near.lowest)) AS lowest
    FROM steps_4 AS near
    LEFT JOIN steps_4 AS next ON next.id = near.far
),
steps_16 AS (
    SELECT
        near.id,
        COALESCE(next.far, near.far) AS far,
        LEAST(near.lowest, COALESCE(next.lowest, near.lowest)) AS lowest
    FROM steps_8 AS near
    LEFT JOIN steps_8 AS next ON next.id = near.far
),
steps_32 AS (
    SELECT
        near.id,
        COALESCE(next.far, near.far) AS far,
        LEAST(near.lowest, COALESCE(next.lowest, near.lowest)) AS lowest
    FROM steps_16 AS near
    LEFT JOIN steps_16 AS next ON next.id = near.far
),
steps_64 AS (
    SELECT
        near.id,
        COALESCE(next.far, near.far) AS far,
        LEAST(near.lowest, COALESCE(next.lowest, near.lowest)) AS lowest
    FROM steps_32 AS near
    LEFT JOIN steps_32 AS next ON next.id = near.far
)
-- After 64 steps only a circle still has somewhere to go: its lowest name stands for all of it.
SELECT
    near.id AS old_client_id,
    COALESCE(circle.lowest, near.far) AS client_id
FROM steps_64 AS near
LEFT JOIN steps_64 AS circle ON circle.id = near.far
WHERE COALESCE(circle.lowest, near.far) <> near.id
