-- Which rules are suddenly true of many more or many fewer people than in the audit before?
SELECT rule, title, people, of_people, previous_people, of_previous, change, untold_people
FROM audit.rule_surges
ORDER BY rule
