-- question: Where is each person on the as-of day, and with which team?
-- grain:    one row per placement in force on the as-of day
-- key:      client_id, placement_id
-- inputs:   records.placements, review.parameters
-- beware:   a person may have several placements in force at once; is_leading marks the newest, which decides team and setting
-- columns:
--   client_id                  id                            the person
--   placement_id               id                            the stay or period with a team
--   care_setting               code placements.care_setting  where it is
--   site                       text                          code of the place
--   team                       text                          the team
--   clinician                  text                          pseudonymous code of the clinician
--   referred_on                date                          when the person was referred
--   first_contact_at           timestamp                     first registered professional contact
--   first_contact_at_has_time  boolean                       the first contact has a time of day
--   started_at                 timestamp                     when it began
--   started_at_has_time        boolean                       the start has a time of day
--   started_on                 date                          the day it began
--   planned_end_on             date                          planned last day
--   going_to                   code placements.going_to      where the person is to go
--   is_leading                 boolean                       the newest of this person's placements in force
WITH deaths AS (
    SELECT placements.client_id, MAX(CAST(placements.ended_at AS DATE)) AS died_on
    FROM records.placements AS placements
    CROSS JOIN review.parameters AS parameters
    WHERE placements.end_reason = 'died' AND CAST(placements.ended_at AS DATE) <= parameters.as_of
    GROUP BY placements.client_id
),
in_force AS (
    SELECT
        placements.client_id,
        placements.placement_id,
        placements.care_setting,
        placements.site,
        placements.team,
        placements.clinician,
        placements.referred_on,
        placements.first_contact_at,
        placements.first_contact_at_has_time,
        placements.started_at,
        placements.started_at_has_time,
        placements.planned_end_on,
        placements.going_to
    FROM records.placements AS placements
    CROSS JOIN review.parameters AS parameters
    LEFT JOIN deaths ON deaths.client_id = placements.client_id
    WHERE CAST(placements.started_at AS DATE) <= parameters.as_of
        AND (placements.ended_at IS NULL OR CAST(placements.ended_at AS DATE) > parameters.as_of)
        -- A death closes every stay that was open on that day, also one whose own end never reached us.
        AND (deaths.died_on IS NULL OR CAST(placements.started_at AS DATE) > deaths.died_on)
),
ranked AS (
    SELECT
        in_force.*,
        ROW_NUMBER() OVER (
            PARTITION BY in_force.client_id ORDER BY in_force.started_at DESC, in_force.placement_id DESC
        ) AS newest
    FROM in_force
)
SELECT
    ranked.client_id,
    ranked.placement_id,
    ranked.care_setting,
    ranked.site,
    ranked.team,
    ranked.clinician,
    ranked.referred_on,
    ranked.first_contact_at,
    ranked.first_contact_at_has_time,
    ranked.started_at,
    ranked.started_at_has_time,
    CAST(ranked.started_at AS DATE) AS started_on,
    ranked.planned_end_on,
    ranked.going_to,
    ranked.newest = 1 AS is_leading
FROM ranked
