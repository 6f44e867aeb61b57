"""Week after week: few people are urgent, and a past audit can be had again byte for byte."""

import shutil

import pytest

from tests.caseload.conftest import SHOWN

pytestmark = pytest.mark.slow


def test_no_ordinary_week_puts_more_than_a_tenth_of_the_caseload_under_urgent(weeks):
    # A list that is always long is read by nobody. The first audit is the starting backlog and no ordinary week.
    shares = {}
    for moment in weeks.received[1:]:
        [(people, urgent)] = weeks.ask(
            "SELECT people, urgent_people FROM audit.tally WHERE team IS NULL AND is_total", on=moment.date()
        )
        shares[moment.date().isoformat()] = (urgent, people)
    assert len(shares) == 12
    assert {day: counts for day, counts in shares.items() if counts[0] * 10 > counts[1]} == {}


@pytest.mark.parametrize("which", [place for place in SHOWN if place != 1])
def test_a_past_audit_asked_for_again_has_the_bytes_it_had(weeks, which):
    moment = weeks.received[which]
    # Everything that came later, corrections included, lies in the store by now.
    assert weeks.received[-1] > moment
    shutil.rmtree(weeks.workspace.audits / moment.date().isoformat())
    weeks.review(moment)
    again = weeks.publish(moment)
    assert sorted(again) == sorted(weeks.pages[moment])
    assert [name for name in again if again[name] != weeks.pages[moment][name]] == []


def test_a_later_audit_differs(weeks):
    # Without this the test above could compare pages that never change.
    first, second = (weeks.pages[moment]["weekly_audit.html"] for moment in weeks.received[:2])
    assert first != second
