-- In how many measures did the newest month that can be relied on move more than chance, and which months does the page show?
SELECT CAST(count(*) FILTER (WHERE c.conclusion IN ('steady', 'better', 'worse', 'change')) AS INTEGER) AS judged,
       CAST(count(*) FILTER (WHERE c.conclusion = 'worse') AS INTEGER) AS worse,
       CAST(count(*) FILTER (WHERE c.conclusion = 'better') AS INTEGER) AS better,
       CAST(count(*) FILTER (WHERE c.conclusion = 'change') AS INTEGER) AS changed,
       CAST(count(*) FILTER (WHERE c.conclusion = 'steady') AS INTEGER) AS steady,
       CAST(count(*) FILTER (WHERE c.conclusion NOT IN ('steady', 'better', 'worse', 'change')) AS INTEGER) AS not_judged,
       (SELECT min(month) FROM trends.months) AS first_month,
       (SELECT max(month) FROM trends.months) AS last_month,
       (SELECT max(month) FROM trends.months WHERE NOT is_provisional) AS settled_month,
       (SELECT CAST(count(*) AS INTEGER) FROM trends.months WHERE is_provisional) AS provisional_months,
       (SELECT CAST(count(*) AS INTEGER) FROM trends.counted WHERE NOT is_on_caseload AND event = 'found') AS unplaced_injuries
FROM trends.conclusions AS c
JOIN policy.measures AS m ON m.measure = c.measure AND m.has_section
