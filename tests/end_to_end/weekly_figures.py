"""Every figure of the weekly audit, counted again from records, findings and verdicts.

audit.headline, audit.tally, audit.caseload, audit.changes, audit.forecast and the like are what the page reads, so
none of them is named here.
"""

from collections import Counter


def by_verdict(rows, position):
    """People by verdict, of the rows of PROVISION in one position."""
    total = Counter()
    for row in rows:
        if row.position == position:
            total[row.verdict] += row.people
    return total


# One row each; the names are those of the page's sentences.
FIGURES = """
WITH today AS (SELECT as_of, previous_as_of FROM review.parameters),
-- A census at midnight: begun by then and not ended; who never had a placement counts too.
here AS (
    SELECT DISTINCT p.client_id FROM records.placements AS p, today
    WHERE CAST(p.started_at AS DATE) <= today.as_of
        AND (p.ended_at IS NULL OR CAST(p.ended_at AS DATE) > today.as_of)
),
caseload AS (
    SELECT c.client_id, h.client_id IS NOT NULL AS is_placed
    FROM records.clients AS c LEFT JOIN here AS h USING (client_id)
    WHERE h.client_id IS NOT NULL OR c.client_id NOT IN (SELECT client_id FROM records.placements)
),
standing AS (
    SELECT f.*, r.list_name = 'people' AS is_visit, f.status IN ('open', 'returned', 'backlog') AS asks
    FROM audit.findings AS f JOIN policy.rules AS r USING (rule) WHERE NOT f.is_told_once
),
visits AS (
    SELECT client_id, bool_or(severity = 'urgent') AS urgent, bool_or(severity = 'soon') AS soon
    FROM standing WHERE asks AND is_visit GROUP BY client_id
),
due AS (SELECT r.*, r.status IN ('overdue', 'never') AS late FROM audit.reassessments AS r),
wounded AS (
    SELECT client_id, bool_or(is_full_thickness AND is_trunk_or_pelvis) AS deep_on_trunk
    FROM wounds.open WHERE is_pressure OR is_pressure IS NULL GROUP BY client_id
),
-- An injury is new when nobody looked at it before; what it was called at its newest look decides whether it counts.
looks AS (
    SELECT i.injury_id, i.client_id, min(CAST(i.observed_at AS DATE)) AS first_on,
        bool_or(i.stage IN ('stage_3', 'stage_4', 'unstageable', 'deep_tissue_injury')) AS is_deep,
        coalesce(arg_max(i.cause, i.observed_at), 'pressure') AS cause,
        coalesce(
            arg_min(i.present_on_admission, i.observed_at) FILTER (WHERE i.present_on_admission IN ('yes', 'no')),
            'not known'
        ) AS was_there
    FROM records.injuries AS i GROUP BY i.injury_id, i.client_id
),
fresh AS (
    SELECT l.* FROM looks AS l JOIN caseload USING (client_id), today
    WHERE l.first_on > today.previous_as_of AND l.cause IN ('pressure', 'not_settled')
),
waiting AS (
    SELECT l.client_id,
        date_diff('day', coalesce(l.requested_on, l.need_identified_on), today.as_of) AS days
    FROM records.loans AS l JOIN caseload USING (client_id), today
    WHERE l.issued_on IS NULL AND l.returned_on IS NULL
        AND coalesce(l.loan_status, 'requested') IN ('requested', 'ordered')
),
-- Returned, or taken back by a status: either way it is out no more.
powered AS (
    SELECT l.loan_id, l.client_id
    FROM records.loans AS l JOIN caseload USING (client_id)
    JOIN policy.surface_classes AS s USING (surface_class)
    WHERE s.is_powered AND l.issued_on IS NOT NULL AND l.returned_on IS NULL
),
planned AS (
    SELECT client_id, arg_max(outage_plan, observed_on) AS plan FROM records.circumstances
    WHERE outage_plan IS NOT NULL GROUP BY client_id
),
-- A flame or unsupervised smoking, and a written plan for it.
planned_fire AS (
    SELECT client_id, smoking IN ('unsupervised', 'in_bed') OR naked_flame AS near
    FROM state.clients WHERE fire_plan_on IS NOT NULL
),
leaving AS (
    SELECT p.client_id, arg_max(p.planned_end_on, p.started_at) AS planned_end_on
    FROM records.placements AS p JOIN here USING (client_id), today
    WHERE p.ended_at IS NULL OR CAST(p.ended_at AS DATE) > today.as_of
    GROUP BY p.client_id
),
held AS (
    SELECT DISTINCT file_id, feed, source_row, client_id, code = 'client_unknown' OR code = 'id_reused' AS waits
    FROM quality.held WHERE status = 'waiting'
)
SELECT
    (SELECT count(*) FROM caseload) AS people,
    (SELECT count(*) FROM caseload WHERE NOT is_placed) AS unplaced,
    (SELECT count(*) FROM visits WHERE urgent) AS urgent,
    (SELECT count(*) FROM visits WHERE soon AND NOT urgent) AS soon,
    (SELECT count(*) FROM due WHERE late) AS overdue,
    (SELECT count(*) FROM due JOIN wounded USING (client_id) WHERE late) AS overdue_wounded,
    (SELECT count(*) FROM due, today WHERE NOT late AND due_on BETWEEN as_of AND as_of + 28) AS due_four_weeks,
    (SELECT count(*) FROM fresh) AS new_injuries,
    (SELECT count(DISTINCT client_id) FROM fresh) AS new_people,
    (SELECT count(*) FROM fresh WHERE is_deep) AS new_deep,
    (SELECT count(*) FROM fresh WHERE was_there = 'yes') AS new_present,
    (SELECT count(*) FROM fresh WHERE was_there = 'no') AS new_acquired,
    (SELECT count(*) FROM fresh WHERE was_there = 'not known') AS new_not_known,
    (SELECT count(*) FROM standing WHERE status = 'accepted') AS quiet,
    (SELECT count(*) FROM standing WHERE status = 'returned') AS returned,
    (SELECT count(DISTINCT client_id) FROM waiting) AS waiting,
    (SELECT max(days) FROM waiting) AS waiting_longest,
    (SELECT count(DISTINCT client_id) FROM waiting JOIN wounded USING (client_id) WHERE deep_on_trunk) AS waiting_deep,
    (SELECT count(*) FROM powered) AS powered,
    (SELECT count(*) FROM powered LEFT JOIN planned USING (client_id) WHERE plan IS NOT TRUE) AS without_plan,
    (SELECT count(DISTINCT loan_id) FROM audit.findings JOIN records.loans USING (loan_id, client_id)
        WHERE rule = 'service_overdue' AND owner = 'loan_service') AS services_overdue,
    (SELECT count(*) FROM leaving, today WHERE planned_end_on BETWEEN as_of AND as_of + 14) AS leaving,
    (SELECT count(*) FROM held WHERE NOT waits) AS held,
    (SELECT count(*) FROM held WHERE waits) AS not_known_yet,
    (SELECT count(*) FROM held WHERE NOT waits AND feed = 'injuries') AS held_wounds,
    (SELECT count(DISTINCT client_id) FROM held WHERE NOT waits AND feed = 'injuries') AS held_wound_people,
    (SELECT count(*) FROM records.actions WHERE rule NOT IN (SELECT rule FROM policy.rules)) AS answers_of_no_rule,
    (SELECT count(*) FROM fit.provision WHERE position = 'lying' AND verdict = 'matched' AND loan_id NOT IN
        (SELECT loan_id FROM records.loans WHERE bottoming_check IN ('pass', 'fail'))) AS base_unchecked,
    (SELECT count(*) FROM fit.provision AS p JOIN records.loans AS l USING (client_id, loan_id)
        LEFT JOIN planned_fire AS f USING (client_id)
        JOIN policy.surface_classes AS s ON s.surface_class = l.surface_class, today
        WHERE p.verdict = 'matched' AND p.is_asked AND (
            (l.state_seen_on >= today.as_of - 14 AND (l.cover_condition = 'damaged'
                OR (s.is_active AND l.mode = 'static') OR (s.is_pump_fed AND l.mode = 'firm')))
            OR (s.is_pump_fed AND f.near))) AS with_care,
    (SELECT count(DISTINCT client_id) FROM audit.verdicts
        WHERE rule = 'missing_surface' AND verdict IS NULL) AS no_mattress_untold,
    (SELECT count(DISTINCT client_id) FROM audit.unknowns WHERE why <> 'feed_absent') AS with_questions
"""

# A surface's verdicts by position and need, as the picture and its table show them.
PROVISION = """
SELECT n.position, n.need_level, p.verdict, count(*) AS people
FROM fit.need AS n JOIN fit.provision AS p ON p.client_id = n.client_id AND p.position = n.position
WHERE p.is_asked GROUP BY ALL
"""

# Per team: people, urgent, late, due in four weeks, mattress not judged. A person's team is that of the newest stay.
TEAMS = """
WITH visits AS (
    SELECT DISTINCT client_id FROM audit.findings AS f JOIN policy.rules AS r USING (rule)
    WHERE f.severity = 'urgent' AND r.list_name = 'people' AND f.status IN ('open', 'returned', 'backlog')
        AND NOT f.is_told_once
),
here AS (
    SELECT client_id, arg_max(team, (started_at, placement_id)) AS team FROM records.placements, review.parameters
    WHERE CAST(started_at AS DATE) <= as_of AND (ended_at IS NULL OR CAST(ended_at AS DATE) > as_of) GROUP BY client_id
)
SELECT here.team, count(*) AS people, count(visits.client_id) AS urgent,
    count(*) FILTER (WHERE r.status IN ('overdue', 'never')) AS late,
    count(*) FILTER (WHERE r.status IN ('due', 'not_due') AND r.due_on <= as_of + 28) AS due_four_weeks,
    count(*) FILTER (WHERE p.verdict = 'unknown') AS cannot_judge
FROM audit.reassessments AS r CROSS JOIN review.parameters
LEFT JOIN here USING (client_id) LEFT JOIN visits USING (client_id)
JOIN fit.provision AS p ON p.client_id = r.client_id AND p.position = 'lying'
GROUP BY here.team ORDER BY people DESC, here.team
"""

# Of the people who fall due, in which of the four weeks: the first begins on the as-of day, the others a day later.
WEEKS = """
SELECT c.team, greatest(1, CAST(ceil((r.due_on - as_of) / 7.0) AS INTEGER)) AS week, count(*) AS people,
    count(*) FILTER (WHERE r.kind = 'first') AS first, count(*) FILTER (WHERE r.kind = 'change') AS change
FROM audit.reassessments AS r JOIN state.clients AS c USING (client_id) CROSS JOIN review.parameters
WHERE r.status IN ('due', 'not_due') AND r.due_on BETWEEN as_of AND as_of + 28 GROUP BY ALL
"""

# Why a fact is wanting, the most useful reason of several.
MISSING = """
WITH wanted AS (
    SELECT client_id, column_name,
        CASE WHEN bool_or(why = 'too_old') THEN 'too_old' WHEN bool_or(why = 'not_recorded') THEN 'not_recorded'
            ELSE 'feed_absent' END AS why
    FROM audit.unknowns GROUP BY client_id, column_name
)
SELECT l.label, y.label AS why, count(*) AS people
FROM wanted JOIN policy.labels AS l ON l.kind = 'column' AND l.code = column_name
JOIN policy.labels AS y ON y.kind = 'why' AND y.code = wanted.why
GROUP BY ALL ORDER BY people DESC, l.label, y.label LIMIT 10
"""

# Each finding, and whether it asks for somebody today.
FINDINGS = """
    SELECT f.finding_id, f.client_id, f.severity, f.rule, r.list_name = 'people' AS is_visit,
        f.status IN ('open', 'returned', 'backlog') AND NOT f.is_told_once AS asks
    FROM audit.findings AS f JOIN policy.rules AS r USING (rule)"""

# Who needs somebody today, in order: what nothing may quieten, then as the policy lists its rules, then the latest.
URGENT = """
SELECT client_id, team, family, title, rank, lateness, others FROM (
    SELECT f.client_id, f.team, r.family, f.title, f.due_on,
        count(*) OVER (PARTITION BY f.client_id) - 1 AS others,
        greatest(0, date_diff('day', f.due_on, as_of)) AS lateness,
        (NOT r.never_softened, r.position, -greatest(0, date_diff('day', f.due_on, as_of))) AS rank,
        row_number() OVER (
            PARTITION BY f.client_id ORDER BY f.severity <> 'urgent', NOT r.never_softened, r.position, f.due_on
        ) AS place, f.severity
    FROM audit.findings AS f JOIN policy.rules AS r USING (rule), review.parameters
    WHERE r.list_name = 'people' AND f.is_shown
) WHERE place = 1 AND severity = 'urgent' ORDER BY rank, client_id
"""
