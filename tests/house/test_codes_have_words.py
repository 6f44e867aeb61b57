"""Every code that a relation may hold has plain words in the policy, so that no page shows a code as it is."""

import datetime
import re
from pathlib import Path

import pytest

from pipeline import resources
from pipeline.policy import load
from pipeline.review.headers import parse_header

AS_OF = datetime.date(2026, 3, 2)
WORDS = {(row["kind"], row["code"]) for row in load().tables(AS_OF)["labels"].to_pylist()}
# Where a column's words stand under another name: that of its relation and column, or of the column in any relation.
KINDS = {
    "audit.reassessments.kind": "reassessment_kind", "audit.reassessments.status": "reassessment_status",
    "audit.findings.status": "finding_status", "audit.answered.status": "finding_status",
    "audit.equipment.status": "finding_status", "audit.rule_surges.change": "surge",
    "audit.softenings.softened_by": "answer", "quality.codes_noted.note": "code_note",
    "quality.codes_noted.system": "code_system", "records.repeated.repeats": "version_status",
    "need_level": "need", "recomputed_band": "band", "risk_band": "band", "former_setting": "care_setting",
    **dict.fromkeys(("recorded_stage", "effective_stage", "first_stage", "worst_stage"), "stage"),
    "worst_origin": "origin",
    **dict.fromkeys(("lying_class", "sitting_class", "weakest_known_class"), "surface_class"),
}  # fmt: skip
# The page of trends has sentences of its own for these, and fails where one is missing.
SAID_BY_THE_PAGE = {"conclusion", "signal_means"}
RELATIONS = sorted(path for path in resources.sql_dir().glob("*/*.sql") if path.parent.name != "checks")


def codes_of(path: Path) -> list[tuple[str, str]]:
    """The kind of words and the code, for each code that the header lists."""
    relation = f"{path.parent.name}.{path.stem}"
    text = path.read_text(encoding="utf-8")
    found = []
    for column in parse_header(text).columns:
        if column.codes and column.name not in SAID_BY_THE_PAGE:
            kind = KINDS.get(f"{relation}.{column.name}") or KINDS.get(column.name, column.name)
            found += [(kind, code) for code in column.codes]
    # A text may hold several codes; a sentence of the header lists them.
    for column, codes in re.findall(r"^-- The codes of (\w+): ([\w, ]+)\.$", text, flags=re.MULTILINE):
        found += [(column, code) for code in codes.split(", ")]
    return found


@pytest.mark.parametrize("path", RELATIONS, ids=lambda path: f"{path.parent.name}.{path.stem}")
def test_a_code_of_a_relation_has_words(path):
    assert [pair for pair in codes_of(path) if pair not in WORDS] == []


def test_what_is_looked_for_is_found():
    staged = next(path for path in RELATIONS if path.stem == "staged")
    assert {("transition", "review"), ("transition_reason", "numbered_mucosa")} <= set(codes_of(staged))
    assert sum(len(codes_of(path)) for path in RELATIONS) > 100
