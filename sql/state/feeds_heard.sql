-- question: Which feeds have been heard from lately enough that an absent row means something?
-- grain:    one row
-- key:      feeds
-- inputs:   quality.arrivals
-- beware:   a feed that came but is late against its expected days counts as not heard; one without expected days never is late
-- columns:
--   feeds                text     always 'all'
--   clients_heard        boolean  the clients feed has come and is not late
--   placements_heard     boolean  the placements feed has come and is not late
--   assessments_heard    boolean  the assessments feed has come and is not late
--   circumstances_heard  boolean  the circumstances feed has come and is not late
--   injuries_heard       boolean  the injuries feed has come and is not late
--   loans_heard          boolean  the loans feed has come and is not late
WITH heard AS (
    SELECT arrivals.feed
    FROM quality.arrivals AS arrivals
    WHERE arrivals.has_arrived AND NOT COALESCE(arrivals.is_late, FALSE)
)
SELECT
    'all' AS feeds,
    COUNT(CASE WHEN heard.feed = 'clients' THEN 1 END) > 0 AS clients_heard,
    COUNT(CASE WHEN heard.feed = 'placements' THEN 1 END) > 0 AS placements_heard,
    COUNT(CASE WHEN heard.feed = 'assessments' THEN 1 END) > 0 AS assessments_heard,
    COUNT(CASE WHEN heard.feed = 'circumstances' THEN 1 END) > 0 AS circumstances_heard,
    COUNT(CASE WHEN heard.feed = 'injuries' THEN 1 END) > 0 AS injuries_heard,
    COUNT(CASE WHEN heard.feed = 'loans' THEN 1 END) > 0 AS loans_heard
FROM heard
