-- question: What protects each person, lying and sitting?
-- grain:    one row per person and position with any loan in place
-- key:      client_id, position
-- inputs:   state.loans_in_place
-- beware:   the weakest surface in use counts, never the best; level columns are upper limits unless is_certain
-- columns:
--   client_id            id                        the person
--   position             code loans.position       lying or sitting
--   loan_count           integer                   loans in place, in use or not
--   used_count           integer                   those that count here: where the person is (or may be) and not recorded as unused
--   loan_id              id                        the weakest of those
--   surface_class        code loans.surface_class  its class; blank when another one or the base may be weaker
--   weakest_known_class  code loans.surface_class  its class, also where something weaker may lie there
--   risk_level_max       integer                   highest risk rung that all of them carry
--   injury_stage_max     integer                   highest injury rung that all of them carry
--   is_certain           boolean                   nothing weaker can be in use
--   why_uncertain        text                      what keeps it from being certain, as plain sentences
WITH used AS (
    SELECT
        loans.client_id,
        loans.position,
        loans.loan_id,
        loans.surface_class,
        loans.is_overlay,
        loans.class_is_known,
        loans.risk_level_max,
        loans.injury_stage_max,
        loans.is_where_person_is,
        COALESCE(loans.is_where_person_is, TRUE) AND COALESCE(loans.in_use, TRUE) AS counts
    FROM state.loans_in_place AS loans
),
ranked AS (
    SELECT
        used.*,
        ROW_NUMBER() OVER (
            PARTITION BY used.client_id, used.position
            ORDER BY
                used.counts DESC,
                used.risk_level_max NULLS LAST,
                used.injury_stage_max NULLS LAST,
                used.surface_class,
                used.loan_id
        ) AS weakness
    FROM used
),
per_position AS (
    SELECT
        ranked.client_id,
        ranked.position,
        COUNT(*) AS loan_count,
        COUNT(CASE WHEN ranked.counts THEN 1 END) AS used_count,
        MAX(CASE WHEN ranked.weakness = 1 AND ranked.counts THEN ranked.loan_id END) AS loan_id,
        MAX(CASE WHEN ranked.weakness = 1 AND ranked.counts THEN ranked.surface_class END) AS weakest_known_class,
        -- A surface recorded somewhere else may not be under the person, so it cannot prove that need is unmet.
        MIN(CASE WHEN ranked.counts AND ranked.is_where_person_is
            THEN ranked.risk_level_max END)
            AS risk_level_max,
        MIN(CASE WHEN ranked.counts AND ranked.is_where_person_is
            THEN ranked.injury_stage_max END)
            AS injury_stage_max,
        COUNT(CASE WHEN ranked.counts AND NOT ranked.class_is_known THEN 1 END) AS unknown_class_count,
        COUNT(CASE WHEN ranked.counts AND ranked.is_where_person_is IS NULL THEN 1 END) AS unknown_place_count,
        COUNT(CASE WHEN ranked.counts AND ranked.is_overlay THEN 1 END) AS overlay_count,
        COUNT(CASE WHEN ranked.counts AND ranked.class_is_known AND NOT COALESCE(ranked.is_overlay, FALSE) THEN 1 END)
            AS base_count
    FROM ranked
    GROUP BY ranked.client_id, ranked.position
),
explained AS (
    SELECT
        per_position.*,
        CASE WHEN per_position.used_count = 0 THEN 'no surface is recorded as in use where the person is; ' ELSE '' END
            || CASE WHEN per_position.unknown_class_count > 0 THEN 'the class of a surface is not recorded; ' ELSE '' END
            || CASE
                WHEN per_position.unknown_place_count > 0 THEN 'whether a surface is where the person is now is not recorded; '
                ELSE ''
            END
            || CASE
                WHEN per_position.overlay_count > 0 AND per_position.base_count = 0
                    THEN 'what lies under the overlay is not recorded; '
                ELSE ''
            END AS sentences
    FROM per_position
)
SELECT
    explained.client_id,
    explained.position,
    CAST(explained.loan_count AS INTEGER) AS loan_count,
    CAST(explained.used_count AS INTEGER) AS used_count,
    explained.loan_id,
    CASE WHEN explained.sentences = '' THEN explained.weakest_known_class END AS surface_class,
    explained.weakest_known_class,
    explained.risk_level_max,
    explained.injury_stage_max,
    explained.sentences = '' AS is_certain,
    CASE WHEN explained.sentences <> '' THEN SUBSTR(explained.sentences, 1, LENGTH(explained.sentences) - 2) END
        AS why_uncertain
FROM explained
