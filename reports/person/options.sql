-- Which classes stay open, what speaks for and against each, and what would change it?
SELECT o.client_id, o.position, o.surface_class, o.verdict, o.rank, o.reasons_for,
       -- What an item has to be rated for is said once, above the classes.
       array_to_string(list_filter(
           string_split(o.reasons_against, '; '),
           lambda reason: NOT starts_with(reason, 'only an item rated above') AND NOT starts_with(reason, 'check the rated load')
       ), '; ') AS reasons_against,
       split_part(o.reasons_against, '; ', 1) || coalesce('. Would change it: ' || o.would_change, '') AS in_short, o.would_change, o.check_first, o.relief, o.comfort, o.cost,
       o.basis, o.is_in_use, o.note,
       coalesce(
           o.verdict = 'does_not_fit'
           AND o.cost < min(CASE WHEN o.rank IS NOT NULL THEN o.cost END) OVER (PARTITION BY o.client_id, o.position), FALSE
       ) AS is_cheaper_and_short
FROM fit.options AS o
WHERE list_contains($people, o.client_id)
ORDER BY o.client_id, o.position, o.rank NULLS LAST, o.verdict, o.cost, o.surface_class
