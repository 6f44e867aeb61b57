"""Which rules are loud in the sample: each is told once, and is explained where developers look for it."""

import re
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
# Our decision: over a fifth; of fewer than twenty a share says little.
LOUD = """
    SELECT f.rule, bool_and(f.is_told_once)
    FROM audit.findings AS f
    JOIN (
        SELECT rule, count(*) AS affected, max(could_apply) AS possible FROM audit.verdicts WHERE verdict GROUP BY rule
    ) AS v ON v.rule = f.rule
    CROSS JOIN (SELECT count(*) AS people FROM state.clients) AS n
    GROUP BY f.rule, v.affected, v.possible, n.people
    HAVING 5 * count(DISTINCT f.client_id) > n.people OR (v.possible >= 20 AND 5 * v.affected > v.possible)
"""


def test_every_loud_rule_is_told_once_and_explained(weeks):
    loud = {row for day in weeks.warehouses for row in weeks.ask(LOUD, on=day)}
    assert {rule for rule, is_told_once in loud if not is_told_once} == set()
    table = DEVELOPERS.read_text("utf-8").partition("| loud rule |")[2].partition("- **")[0]
    explained = re.findall(r"^ *\| `(\w+)` \| [^|]+ \|$", table, flags=re.MULTILINE)
    assert sorted(explained) == sorted({rule for rule, _ in loud})
