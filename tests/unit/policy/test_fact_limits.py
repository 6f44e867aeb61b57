"""How long each answer is trusted: every question has a line, and what asks for more care outlives it."""

import datetime
import re

import pytest

from pipeline.errors import PolicyUnsound
from pipeline.policy import load
from pipeline.policy.fact_limits import ASKED
from pipeline.resources import policy_dir

TABLES = load().tables(datetime.date(2026, 3, 2))
AGES = TABLES["fact_ages"].to_pylist()
LIMITS = {row["column_name"]: row for row in TABLES["fact_limits"].to_pylist()}

# file text to find in facts.toml, its replacement, what the message must hold
SPOILED = [
    ('id = "smoking"', 'id = "smokes"', "fact]] smoking is missing"),
    ('"unsupervised"', '"sometimes"', "keeps_when_worse has no such answer"),
    ('id = "naked_flame"\nmax_age_days = 180\nkeeps_when_worse = [true]',
     'id = "naked_flame"\nkeeps_when_worse = ["yes"]', "keeps_when_worse has no such answer"),
    ("keeps_when_worse = [true]", "keeps_when_worse = [1]", "is not a list of answers"),
    ('id = "traction"', 'id = "traction"\nkeeps_from = 3', "a limit is set for what is no number"),
    ("max_age_days = 28", "max_age_days = 0.5", "is not a whole number"),
]  # fmt: skip


def test_every_question_of_the_form_has_a_line():
    assert set(LIMITS) == set(ASKED)
    assert len(AGES) == 1


def test_the_wide_row_says_the_same_as_the_long_one():
    for name, row in LIMITS.items():
        assert AGES[0][name] == row["max_age_days"]
        for limit in ("keeps_below", "keeps_from"):
            assert AGES[0].get(f"{name}_{limit}") == row[limit]
        assert AGES[0].get(f"{name}_keeps") == row["keeps_when_worse"]


# An old no to these is not a no, and an old yes stands (decision of this policy; no published source).
@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("smoking", "supervised; unsupervised; in_bed"),
        ("bed_rails", "true"),
        ("confused_or_restless", "true"),
        ("unstable_spine", "true"),
        ("outage_plan", "false"),
    ],
)
def test_an_answer_that_asks_for_more_care_outlives_its_age(name, kept):
    assert LIMITS[name]["keeps_when_worse"] == kept
    assert LIMITS[name]["max_age_days"] is not None


# 220 mm: BS EN 1970:2000. 120 mm and 60 mm: FDA guidance on bed systems, 2006.
def test_a_gap_measured_as_unsafe_stands():
    wide = AGES[0]
    assert wide["rail_top_above_surface_mm_keeps_below"] == 220
    assert wide["rail_gap_inside_mm_keeps_from"] == 120
    assert wide["rail_gap_end_mm_keeps_from"] == 60


@pytest.mark.parametrize(("before", "after", "message"), SPOILED)
def test_an_unsound_line_is_refused(tmp_path, before, after, message):
    text = (policy_dir() / "facts.toml").read_text(encoding="utf-8")
    assert before in text
    (tmp_path / "facts.toml").write_text(text.replace(before, after, 1), encoding="utf-8")
    with pytest.raises(PolicyUnsound, match=re.escape(message)) as refused:
        load(tmp_path)
    assert "policy/facts.toml" in str(refused.value)
