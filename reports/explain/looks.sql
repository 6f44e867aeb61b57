-- Which looks at the open wounds, since each opened, say a stage that cannot follow or contradict themselves?
SELECT course.injury_id, CAST(course.observed_at AS DATE) AS observed_on, course.recorded_stage, course.transition,
       course.transition_reason
FROM wounds.course AS course
JOIN wounds.open AS open_wounds ON open_wounds.injury_id = course.injury_id
WHERE course.client_id = $client_id AND CAST(course.observed_at AS DATE) >= open_wounds.first_seen_on
      AND course.transition <> 'allowed'
ORDER BY course.injury_id, course.look
