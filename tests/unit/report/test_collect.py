"""What is still out with somebody who has left: a list of its own on the worklist, where there is any."""

import re
from datetime import date

from tests.unit.report import world
from tests.unit.report.test_weekly_audit import words_of
from tests.unit.report.test_worklist import worklist_of

LEFT = {"client_id": "C-0900", "team": "Saltbeck Community", "clinician": "K12", "position": "lying"}


def test_who_has_been_gone_longest_stands_first(tmp_path):
    rows = world.ordinary_week()
    rows["audit.to_collect"] = [
        LEFT | {"loan_id": "L-1", "surface_class": "foam", "owner": "loan_service", "left_on": date(2026, 2, 13),
                "end_reason": None, "days_since_left": 17},
        LEFT | {"loan_id": "L-2", "surface_class": None, "owner": None, "left_on": date(2026, 1, 19),
                "end_reason": "died", "days_since_left": 42, "client_id": "C-0901", "team": None, "clinician": None},
    ]  # fmt: skip
    part = worklist_of(tmp_path, rows).partition('<h2 id="collect">')[2].partition("</section>")[0]
    assert "2 surfaces are recorded as still out with somebody who has left the caseload." in words_of(part)
    found = [words_of(row).strip() for row in re.findall(r'<tr role="row">\s*<th scope="row".*?</tr>', part, re.DOTALL)]
    assert found == [
        "L-2 not recorded owner: not recorded C-0901 team not recorded, clinician not recorded"
        " 19 January 42 days; died",
        "L-1 foam mattress owner: loan service C-0900 Saltbeck Community, K12 13 February 17 days; not recorded",
    ]


def test_nothing_to_collect_takes_no_room(tmp_path):
    assert 'id="collect"' not in worklist_of(tmp_path, world.ordinary_week())
