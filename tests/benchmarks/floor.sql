-- What any review of these assessments must at least do, written as plainly as it goes: the newest version of each
-- assessment with all its columns, its total and band, the time since the one before, and the count by month, each as
-- a table on disk. The benchmark puts the Parquet files in place of the name below and holds the whole review to a
-- multiple of this.
CREATE TABLE newest AS
SELECT numbered.* EXCLUDE (place)
FROM (
    SELECT *, row_number() OVER (PARTITION BY assessment_id ORDER BY updated_at DESC, content_key DESC) AS place
    FROM read_parquet(getvariable('assessments'))
) AS numbered
WHERE numbered.place = 1;

CREATE TABLE scored AS
WITH forms AS (
    -- Forms with equal items are added up once, which is less work than adding up each.
    SELECT items, string_split(items, '; ') AS entries FROM (SELECT DISTINCT items FROM newest)
),
sums AS (
    SELECT items, list_sum(list_transform(entries, lambda entry: CAST(split_part(entry, ' ', 2) AS INTEGER))) AS total
    FROM forms WHERE len(entries) = 6
),
totals AS (
    SELECT assessment_id, client_id, assessed_at, recorded_total, total
    FROM newest LEFT JOIN sums ON sums.items = newest.items
)
SELECT assessment_id, client_id, assessed_at, recorded_total, total,
    CASE WHEN total <= 9 THEN 'very_high' WHEN total <= 12 THEN 'high' WHEN total <= 14 THEN 'moderate'
        WHEN total <= 18 THEN 'at_risk' WHEN total <= 23 THEN 'not_at_risk' END AS band,
    date_diff('hour', lag(assessed_at) OVER (PARTITION BY client_id ORDER BY assessed_at, assessment_id), assessed_at)
        AS hours_since_previous
FROM totals;

CREATE TABLE months AS
SELECT date_trunc('month', assessed_at) AS month, band, count(*) AS assessments,
    median(hours_since_previous) AS median_hours
FROM scored GROUP BY 1, 2 ORDER BY 1, 2;
