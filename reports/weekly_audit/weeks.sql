-- On which day does each of the next four weeks end?
SELECT as_of + 7 AS week_1, as_of + 14 AS week_2, as_of + 21 AS week_3, as_of + 28 AS week_4
FROM review.parameters
