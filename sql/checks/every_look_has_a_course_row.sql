-- question: Does each look at a wound have its row in the course of wounds?
-- inputs:   records.injuries, wounds.course
SELECT injuries.injury_observation_id
FROM records.injuries
LEFT JOIN wounds.course ON course.injury_observation_id = injuries.injury_observation_id
WHERE course.injury_observation_id IS NULL
