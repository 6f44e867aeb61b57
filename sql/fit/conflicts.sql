-- question: Where do the sources disagree about what each person needs, and what does each side say?
-- grain:    one row per person on the caseload, position and disagreement that touches them
-- key:      client_id, position, conflict
-- inputs:   fit.person_facts, policy.fit_criteria, policy.surface_classes, policy.labels, policy.blocks
-- beware:   a disagreement takes no class out and orders nothing; a fact that nobody recorded raises none
-- stored:   view
-- columns:
--   client_id  id                   the person
--   position   code loans.position  lying or sitting
--   conflict   text                 the disagreement, as policy names it
--   fact       text                 what is true of the person, so that it touches them
--   classes    text                 the classes it is about, joined by a comma
--   says       text                 what both sides say
--   source     text                 where they say it
SELECT
    facts.client_id,
    facts.position,
    criteria.criterion AS conflict,
    facts.fact,
    string_agg(COALESCE(labels.label, classes.surface_class), ', ' ORDER BY classes.listed) AS classes,
    criteria.says,
    blocks.source
FROM fit.person_facts AS facts
INNER JOIN policy.fit_criteria AS criteria
    ON criteria.fact = facts.fact AND criteria.position = facts.position AND criteria.kind = 'conflict'
INNER JOIN policy.surface_classes AS classes ON classes.surface_class = criteria.surface_class
INNER JOIN policy.blocks AS blocks ON blocks.kind = 'fit_criterion' AND blocks.block_id = criteria.criterion
LEFT JOIN policy.labels AS labels ON labels.kind = 'surface_class' AND labels.code = classes.surface_class
WHERE facts.is_true
GROUP BY facts.client_id, facts.position, criteria.criterion, facts.fact, criteria.says, blocks.source
ORDER BY facts.client_id, facts.position, criteria.criterion
