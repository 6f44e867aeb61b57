-- question: How often did what a density counts happen in each month, by team?
-- grain:    one row per measure, month and team with at least one, and one per measure and month for everybody
-- key:      measure, month, is_total, team?
-- inputs:   trends.months, trends.stays, trends.counted, records.circumstances
-- beware:   what happened on a day without a stay is left out, because there are no days to set it against
-- columns:
--   measure   text     the measure
--   month     date     first day of the month
--   is_total  boolean  the row of everybody
--   team      text     the team; blank for everybody and where the stay has no team
--   amount    integer  injuries, people or days of looking, as the measure says
-- Each injury stands as the measures that it counts for; those that were there on arrival count for none.
WITH named AS (
    SELECT 'new_injuries' AS measure, counted.client_id, counted.counted_on, counted.team
    FROM trends.counted
    WHERE counted.event = 'found' AND counted.origin <> 'present' AND counted.is_on_caseload
    UNION ALL
    SELECT 'acquired_injuries' AS measure, counted.client_id, counted.counted_on, counted.team
    FROM trends.counted
    WHERE counted.event = 'found' AND counted.origin = 'acquired' AND counted.is_on_caseload
    UNION ALL
    SELECT 'new_injuries_' || counted.stage AS measure, counted.client_id, counted.counted_on, counted.team
    FROM trends.counted
    WHERE counted.event = 'found' AND counted.origin <> 'present' AND counted.is_on_caseload
    UNION ALL
    SELECT 'acquired_injuries_' || counted.stage AS measure, counted.client_id, counted.counted_on, counted.team
    FROM trends.counted
    WHERE counted.event = 'found' AND counted.origin = 'acquired' AND counted.is_on_caseload
    UNION ALL
    SELECT 'new_full_thickness' AS measure, counted.client_id, counted.counted_on, counted.team
    FROM trends.counted
    WHERE counted.event = 'full_thickness' AND counted.origin <> 'present' AND counted.is_on_caseload
    UNION ALL
    SELECT 'acquired_full_thickness' AS measure, counted.client_id, counted.counted_on, counted.team
    FROM trends.counted
    WHERE counted.event = 'full_thickness' AND counted.origin = 'acquired' AND counted.is_on_caseload
    UNION ALL
    SELECT 'worsened_injuries' AS measure, counted.client_id, counted.counted_on, counted.team
    FROM trends.counted
    WHERE counted.has_deepened AND counted.is_on_caseload
),
-- Two injuries of one person in one month are one person.
injured AS (
    SELECT DISTINCT
        CASE named.measure WHEN 'new_injuries' THEN 'new_injury_people' ELSE 'acquired_injury_people' END AS measure,
        months.month, named.client_id, named.team
    FROM named
    INNER JOIN trends.months ON named.counted_on BETWEEN months.month AND months.last_day
    WHERE named.measure IN ('new_injuries', 'acquired_injuries')
),
injured_once AS (
    SELECT
        injured.measure, injured.month, injured.team,
        ROW_NUMBER() OVER (PARTITION BY injured.measure, injured.month, injured.client_id ORDER BY injured.team) AS mention
    FROM injured
),
looked_at AS (
    SELECT DISTINCT circumstances.client_id, circumstances.skin_checked_on
    FROM records.circumstances
    WHERE COALESCE(circumstances.skin_found, 'intact') <> 'not_seen'
),
happened AS (
    SELECT named.measure, months.month, named.team, 1 AS mention
    FROM named
    INNER JOIN trends.months ON named.counted_on BETWEEN months.month AND months.last_day
    UNION ALL
    SELECT injured_once.measure, injured_once.month, injured_once.team, injured_once.mention
    FROM injured_once
    UNION ALL
    SELECT 'skin_looks' AS measure, months.month, stays.team, 1 AS mention
    FROM looked_at
    INNER JOIN trends.months ON looked_at.skin_checked_on BETWEEN months.month AND months.last_day
    INNER JOIN trends.stays
        ON stays.client_id = looked_at.client_id
        AND stays.from_on <= looked_at.skin_checked_on
        AND stays.until_on > looked_at.skin_checked_on
),
tallied AS (
    SELECT happened.measure, happened.month, FALSE AS is_total, happened.team, COUNT(*) AS amount
    FROM happened
    GROUP BY happened.measure, happened.month, happened.team
    UNION ALL
    SELECT happened.measure, happened.month, TRUE AS is_total, CAST(NULL AS VARCHAR) AS team, COUNT(*) AS amount
    FROM happened
    WHERE happened.mention = 1
    GROUP BY happened.measure, happened.month
)
SELECT
    tallied.measure,
    tallied.month,
    tallied.is_total,
    tallied.team,
    CAST(tallied.amount AS INTEGER) AS amount
FROM tallied
ORDER BY tallied.measure, tallied.month, tallied.is_total, tallied.team
