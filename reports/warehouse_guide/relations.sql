-- Which relations does the file have, and what does each say of itself? A comment reads "Question. Grain: x. Beware: y."
SELECT r.schema_name, r.schema_name || '.' || r.name AS relation, r.is_view,
       regexp_extract(r.comment, '^(.*?)(?: Grain: |$)', 1) AS question,
       regexp_extract(r.comment, ' Grain: (.*?)\.(?: Beware: |$)', 1) AS grain,
       regexp_extract(r.comment, ' Beware: (.*?)\.?$', 1) AS beware
FROM (
    SELECT schema_name, table_name AS name, comment, FALSE AS is_view
    FROM duckdb_tables()
    WHERE database_name = current_database() AND NOT internal
    UNION ALL
    SELECT schema_name, view_name AS name, comment, TRUE AS is_view
    FROM duckdb_views()
    WHERE database_name = current_database() AND NOT internal
) AS r
ORDER BY r.schema_name, r.name
