-- question: What share of the caseload is under each finding, and which of them are told once instead of in everybody's row?
-- beware:   whoever has three findings is in three rows, so the shares add up to nothing; part of another finding counts here as well
SELECT f.rule, f.severity, f.list_name,
       count(DISTINCT f.client_id) AS people,
       round(100.0 * count(DISTINCT f.client_id) / n.people, 1) AS percent_of_people,
       count(DISTINCT f.client_id) FILTER (WHERE f.is_shown) AS people_shown,
       bool_or(f.is_told_once) AS is_told_once
FROM audit.findings AS f
CROSS JOIN (SELECT count(*) AS people FROM state.clients) AS n
GROUP BY f.rule, f.severity, f.list_name, n.people
ORDER BY people DESC, f.rule
