-- Which policy files has nobody signed off?
SELECT file, CAST(count(*) AS INTEGER) AS blocks
FROM policy.blocks
WHERE signed_off_on IS NULL
GROUP BY file
ORDER BY file
