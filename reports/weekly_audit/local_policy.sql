-- Where does this service's own policy differ from the one that is shipped? The first twelve, and how many more there are.
SELECT c.kind, c.change, c.label, c.was, c.now, c.why, c.more
FROM (
    SELECT kind, block_id, change, label, was, now, why,
           row_number() OVER (ORDER BY change = 'switched_off' DESC, kind = 'rule' DESC, kind, block_id) AS place,
           CAST(greatest(count(*) OVER () - 12, 0) AS INTEGER) AS more
    FROM policy.local_changes
) AS c
WHERE c.place <= 12
ORDER BY c.place
