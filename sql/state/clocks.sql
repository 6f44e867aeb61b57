-- question: When did each person's reassessment clock last start, and where does it run?
-- grain:    one row per person with a placement in force
-- key:      client_id
-- inputs:   records.placements, state.placements, review.parameters
-- beware:   the clock starts on a change of place or setting only: a second team at the same place shares it
-- columns:
--   client_id                id                            the person
--   placement_id             id                            the newest placement in force
--   care_setting             code placements.care_setting  its setting
--   began_at                 timestamp                     when the stay at this place began, or began again after a stay elsewhere
--   began_at_has_time        boolean                       that is an instant, not a day alone
--   window_from_at           timestamp                     what the first window counts from: the first contact where it came later
--   window_from_at_has_time  boolean                       that is an instant, not a day alone
--   former_setting           code placements.care_setting  where the person was right before, when the clock runs on from there
--   paused_from_on           date                          first day of the stay elsewhere that this stay was interrupted by
--   paused_days              integer                       days that it stood still for
WITH ordered AS (
    SELECT
        placements.client_id,
        placements.placement_id,
        placements.care_setting,
        placements.site,
        placements.started_at,
        placements.started_at_has_time,
        placements.ended_at,
        placements.ended_at_has_time,
        LAG(placements.care_setting) OVER (
            PARTITION BY placements.client_id ORDER BY placements.started_at, placements.placement_id
        ) AS setting_before,
        LAG(placements.site) OVER (
            PARTITION BY placements.client_id ORDER BY placements.started_at, placements.placement_id
        ) AS site_before,
        LAG(COALESCE(CAST(placements.ended_at AS DATE), parameters.as_of)) OVER (
            PARTITION BY placements.client_id ORDER BY placements.started_at, placements.placement_id
        ) AS until_before
    FROM records.placements AS placements
    CROSS JOIN review.parameters AS parameters
),
compared AS (
    SELECT
        ordered.*,
        COALESCE(ordered.until_before >= CAST(ordered.started_at AS DATE) - 1, FALSE) AS follows_on,
        COALESCE(ordered.until_before > CAST(ordered.started_at AS DATE), FALSE) AS overlaps,
        ordered.setting_before = ordered.care_setting AS same_setting,
        COALESCE(ordered.site_before = ordered.site, TRUE) AS same_site,
        ordered.setting_before IN ('community', 'palliative_care')
            AND ordered.care_setting IN ('community', 'palliative_care') AS both_at_home
    FROM ordered
),
moves AS (
    SELECT
        compared.*,
        -- Teams that work side by side share one clock; so does the next team at the same place.
        NOT COALESCE(
            (compared.overlaps AND (compared.same_setting OR compared.both_at_home))
            OR (compared.follows_on AND compared.same_setting AND compared.same_site),
            FALSE
        ) AS is_move
    FROM compared
),
spells AS (
    SELECT
        moves.*,
        COUNT(CASE WHEN moves.is_move THEN 1 END) OVER (
            PARTITION BY moves.client_id
            ORDER BY moves.started_at, moves.placement_id
            ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW
        ) AS stay
    FROM moves
),
starts AS (
    SELECT
        spells.client_id,
        spells.stay,
        spells.placement_id,
        spells.started_at,
        spells.started_at_has_time,
        CASE WHEN spells.follows_on THEN spells.setting_before END AS former_setting
    FROM spells
    WHERE spells.is_move
),
leaders AS (
    SELECT
        placements.client_id,
        placements.placement_id,
        placements.care_setting,
        placements.started_at AS own_started_at,
        placements.first_contact_at,
        placements.first_contact_at_has_time,
        starts.placement_id AS first_placement_id,
        starts.started_at AS stay_started_at,
        starts.started_at_has_time AS stay_started_at_has_time,
        starts.former_setting
    FROM state.placements AS placements
    INNER JOIN spells ON spells.placement_id = placements.placement_id
    INNER JOIN starts ON starts.client_id = spells.client_id AND starts.stay = spells.stay
    WHERE placements.is_leading
),
absences AS (
    -- A stay on a ward while the home placement runs on pauses the home clock; coming back is a change of place.
    SELECT
        leaders.client_id,
        spells.care_setting,
        spells.started_at,
        spells.ended_at,
        spells.ended_at_has_time,
        ROW_NUMBER() OVER (
            PARTITION BY leaders.client_id ORDER BY spells.ended_at DESC, spells.placement_id DESC
        ) AS latest
    FROM leaders
    INNER JOIN spells
        ON spells.client_id = leaders.client_id
        AND spells.ended_at IS NOT NULL
        AND spells.started_at >= leaders.stay_started_at
        AND spells.care_setting <> leaders.care_setting
        AND spells.care_setting IN ('acute', 'intensive_care', 'rehabilitation')
),
begun AS (
    SELECT
        leaders.*,
        absences.client_id IS NOT NULL AS came_back,
        absences.care_setting AS absent_in,
        CAST(absences.started_at AS DATE) AS paused_from_on,
        CAST(absences.ended_at AS DATE) AS back_on,
        COALESCE(absences.ended_at, leaders.stay_started_at) AS began_at,
        CASE WHEN absences.client_id IS NOT NULL THEN absences.ended_at_has_time ELSE leaders.stay_started_at_has_time END
            AS began_at_has_time
    FROM leaders
    LEFT JOIN absences ON absences.client_id = leaders.client_id AND absences.latest = 1
),
windowed AS (
    SELECT
        begun.*,
        -- The first contact belongs to the first placement of the stay, and to no return from a ward.
        NOT begun.came_back
            AND begun.first_placement_id = begun.placement_id
            AND COALESCE(begun.first_contact_at > begun.began_at, FALSE) AS from_contact
    FROM begun
)
SELECT
    windowed.client_id,
    windowed.placement_id,
    windowed.care_setting,
    windowed.began_at,
    windowed.began_at_has_time,
    CASE WHEN windowed.from_contact THEN windowed.first_contact_at ELSE windowed.began_at END AS window_from_at,
    CASE WHEN windowed.from_contact THEN windowed.first_contact_at_has_time ELSE windowed.began_at_has_time END
        AS window_from_at_has_time,
    CASE WHEN windowed.came_back THEN windowed.care_setting ELSE windowed.former_setting END AS former_setting,
    windowed.paused_from_on,
    CASE
        WHEN windowed.came_back THEN CAST(date_diff('day', windowed.paused_from_on, windowed.back_on) AS INTEGER)
        ELSE 0
    END AS paused_days
FROM windowed
