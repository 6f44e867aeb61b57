-- Which people have a held row about a wound, a surface or their circumstances?
SELECT DISTINCT client_id
FROM quality.held
WHERE feed IN ('injuries', 'circumstances', 'loans') AND status = 'waiting' AND client_id IS NOT NULL
ORDER BY client_id
