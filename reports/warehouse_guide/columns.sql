-- Which columns does each relation have, of which type, and what does each mean? The codes follow the meaning.
SELECT c.schema_name || '.' || c.table_name AS relation, c.column_name, c.comment AS meaning,
       CASE
           WHEN c.data_type LIKE '%[]' THEN 'list'
           WHEN c.data_type = 'VARCHAR' THEN 'text'
           WHEN c.data_type = 'BOOLEAN' THEN 'true or false'
           WHEN c.data_type IN ('INTEGER', 'BIGINT', 'HUGEINT') THEN 'whole number'
           WHEN c.data_type LIKE 'DECIMAL%' THEN 'number'
           WHEN c.data_type = 'DATE' THEN 'day'
           WHEN c.data_type = 'TIMESTAMP' THEN 'day and time'
           ELSE lower(c.data_type)
       END AS kind
FROM duckdb_columns() AS c
WHERE c.database_name = current_database() AND NOT c.internal
ORDER BY relation, c.column_index
