-- Which files were refused, and why?
SELECT file_name, feed, status
FROM quality.files
WHERE rows_read IS NULL
ORDER BY file_name
