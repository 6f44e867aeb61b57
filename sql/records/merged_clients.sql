-- question: Which pseudonym does a merged pseudonym stand for now?
-- grain:    one row per merged pseudonym
-- key:      old_client_id
-- inputs:   records.receipts, records.ended, store.merges, review.parameters
-- beware:   chains are followed for 64 steps; pseudonyms that point at each other in a circle all become the first of them by name
-- columns:
--   old_client_id   id                          a pseudonym that is no longer used
--   client_id       id                          the pseudonym at the end of the chain
-- Each step doubles the distance that has been walked, so six joins follow 64 merges without recursion.
WITH placed AS (
    SELECT
        merges.old_client_id,
        merges.client_id,
        merges.merged_on,
        COALESCE(merges.record_status = 'entered-in-error', FALSE) AS is_removed,
        receipts.source,
        COALESCE(merges.updated_at, receipts.received_local) AS updated_at,
        receipts.received_at,
        ROW_NUMBER() OVER (
            PARTITION BY merges.old_client_id, receipts.source
            ORDER BY COALESCE(merges.updated_at, receipts.received_local) DESC, receipts.received_at DESC,
                merges.content_key DESC, merges.file_key, merges.source_row
        ) AS place
    FROM store.merges
    INNER JOIN records.receipts ON receipts.file_key = merges.file_key
    WHERE receipts.standing = 'live'
),
-- Two sources may name one pseudonym: the newest word counts.
in_force AS (
    SELECT
        placed.old_client_id,
        placed.client_id,
        ROW_NUMBER() OVER (
            PARTITION BY placed.old_client_id
            ORDER BY placed.updated_at DESC, placed.received_at DESC, placed.source
        ) AS place
    FROM placed
    CROSS JOIN review.parameters
    LEFT JOIN records.ended
        ON ended.feed = 'merges'
        AND ended.source = placed.source
        AND ended.record_id = placed.old_client_id
    WHERE placed.place = 1
        AND NOT placed.is_removed
        AND ended.record_id IS NULL
        AND placed.merged_on <= parameters.as_of
),
steps_1 AS (
    SELECT old_client_id AS id, client_id AS far, client_id AS lowest
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
