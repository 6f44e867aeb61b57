-- Which files were refused, and why?
SELECT file_name, code
FROM quality.files
WHERE status = 'refused'
ORDER BY file_name, code
