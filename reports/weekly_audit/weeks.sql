-- On which day does each week of the forecast end?
SELECT DISTINCT week, to_on FROM audit.forecast ORDER BY week, to_on
