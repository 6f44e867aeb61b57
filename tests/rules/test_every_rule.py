"""Every shipped rule against its frozen cases.

`boundary` cases stand on an edge of the rule, so that a limit that moves by one, or a class that joins or leaves a
list, turns one of them red.
"""

import pytest

from pipeline.review.rule_compiler import SUBJECTS, compile_rule
from tests.rules.cases import EXPECTED, expected, given, rule_cases, said, shipped_rules, state, tables, told

RULES = shipped_rules()
CASES = rule_cases()


def test_every_rule_has_its_cases():
    assert sorted(CASES) == sorted(RULES)


@pytest.mark.parametrize("name", sorted(CASES))
def test_rule_says_what_its_cases_say(name):
    case = CASES[name]
    assert list(case.given) == [SUBJECTS[RULES[name].about][0]]
    assert case.expect.columns == EXPECTED
    assert [row["case"] for row in told(case)] == [row[0] for row in given(case).rows]
    assert said(RULES[name], case) == expected(case)


@pytest.mark.parametrize("name", sorted(CASES))
def test_every_kind_of_case_is_there(name):
    rows = told(CASES[name])
    assert {row["verdict"] for row in rows} == {"true", "clear", "unknown"}
    # An edge has two sides.
    assert {"true", "clear"} <= {row["verdict"] for row in rows if row["case"].startswith("boundary")}
    assert "ource" in CASES[name].sentence, "say where the clinical fact comes from, or that there is no source"


@pytest.mark.parametrize("name", sorted(CASES))
def test_who_it_is_true_of_is_among_those_it_could_apply_to(name):
    rule = RULES[name]
    compiled = compile_rule(rule, state()[rule.about])
    if compiled.applies is not None:
        con = tables(given(CASES[name]), about=rule.about)
        relation = SUBJECTS[rule.about][0]
        left_out = f"SELECT client_id FROM {relation} WHERE ({compiled.verdict}) AND NOT ({compiled.applies})"
        assert con.execute(left_out).fetchall() == []
