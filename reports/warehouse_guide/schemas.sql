-- Which schemas does the file have, in reading order, and what is each about?
SELECT found.schema_name, told.about, found.relations, found.columns
FROM (
    SELECT c.schema_name, CAST(count(DISTINCT c.table_name) AS INTEGER) AS relations,
           CAST(count(*) AS INTEGER) AS columns
    FROM duckdb_columns() AS c
    WHERE c.database_name = current_database() AND NOT c.internal
    GROUP BY c.schema_name
) AS found
LEFT JOIN (
    VALUES
        ('audit', 1, 'What the pages say: findings, what is not known, who is to be seen, what changed. Begin here.'),
        ('state', 2, 'What is known of each person, surface and wound on the as-of day. The rules read this.'),
        ('fit', 3, 'What each person needs, lying and sitting, and whether what they have meets it.'),
        ('risk', 4, 'Every score, added up again, with its band.'),
        ('wounds', 5, 'Each look at each wound, and the wounds that are open.'),
        ('trends', 6, 'Measures by month, with their intervals and limits.'),
        ('quality', 7, 'What came in, what was held back, and whether the sums agree.'),
        ('records', 8, 'The exports as they stand: the version of each record that counts.'),
        ('policy', 9, 'The clinical policy in force: every number and word that the SQL uses.'),
        ('review', 10, 'What this review was asked, and how it was made.')
) AS told(schema_name, position, about) ON told.schema_name = found.schema_name
ORDER BY told.position NULLS LAST, found.schema_name
