-- question: How often does the total that a source states agree with its own items?
-- grain:    one row per team and scale
-- key:      team?, scale
-- inputs:   risk.history
-- beware:   scored = agreed + differing + unchecked + incomplete + not_stated; total_differs and band_differs overlap
-- stored:   view
-- columns:
--   team           text     the team of the stay in which it was scored; blank when there was none
--   scale          text     the scale
--   scored         integer  assessments
--   agreed         integer  complete, and what the source states agrees
--   differing      integer  complete, and the total or the band differs
--   total_differs  integer  the total differs
--   band_differs   integer  the band differs
--   unchecked      integer  a total or a band without any item: nothing to check it by
--   incomplete     integer  some items missing: no total
--   not_stated     integer  complete, and the source states neither total nor band
WITH judged AS (
    SELECT
        history.team,
        history.scale,
        history.total_agrees,
        history.band_agrees,
        CASE
            WHEN history.is_complete AND history.total_agrees IS NULL AND history.band_agrees IS NULL THEN 'not_stated'
            WHEN history.is_complete
                AND COALESCE(history.total_agrees, TRUE)
                AND COALESCE(history.band_agrees, TRUE) THEN 'agreed'
            WHEN history.is_complete THEN 'differing'
            WHEN history.basis_of_band = 'recorded_unchecked' THEN 'unchecked'
            ELSE 'incomplete'
        END AS outcome
    FROM risk.history
)
SELECT
    team,
    scale,
    CAST(COUNT(*) AS INTEGER) AS scored,
    CAST(SUM(CASE WHEN outcome = 'agreed' THEN 1 ELSE 0 END) AS INTEGER) AS agreed,
    CAST(SUM(CASE WHEN outcome = 'differing' THEN 1 ELSE 0 END) AS INTEGER) AS differing,
    CAST(SUM(CASE WHEN NOT total_agrees THEN 1 ELSE 0 END) AS INTEGER) AS total_differs,
    CAST(SUM(CASE WHEN NOT band_agrees THEN 1 ELSE 0 END) AS INTEGER) AS band_differs,
    CAST(SUM(CASE WHEN outcome = 'unchecked' THEN 1 ELSE 0 END) AS INTEGER) AS unchecked,
    CAST(SUM(CASE WHEN outcome = 'incomplete' THEN 1 ELSE 0 END) AS INTEGER) AS incomplete,
    CAST(SUM(CASE WHEN outcome = 'not_stated' THEN 1 ELSE 0 END) AS INTEGER) AS not_stated
FROM judged
GROUP BY team, scale
