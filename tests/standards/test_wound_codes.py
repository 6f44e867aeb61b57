"""ICD-10-CM L89 and SNOMED CT codes against published lists of them.

The list of ICD-10-CM codes and their titles is the tabular list of April 2026 (NCHS and CMS), as a package carries it.
Which of our locations a site of it is: a map of bony prominences to L89 sites, partly from memory of that list.
"""

import re

import pytest
import simple_icd_10_cm as published

from pipeline.feeds.columns import FEEDS
from pipeline.feeds.wound_codes import CODES, ICD10_CM, SNOMED_CT, find

L89 = [code for code in published.get_all_codes() if code.startswith("L89")]
BILLABLE = sorted(code for code in L89 if published.is_leaf(code))
# The title's words for a site, and which of our locations may stand for it; the first that fits counts.
SITES = (
    ("contiguous site of back, buttock and hip", {"buttock"}), ("elbow", {"elbow"}), ("upper back", {"scapula"}),
    ("lower back", {"spine"}), ("sacral region", {"sacrum"}), ("unspecified part of back", {"not_recorded"}),
    ("hip", {"trochanter"}), ("buttock", {"buttock"}), ("ankle", {"malleolus"}), ("heel", {"heel"}),
    ("head", {"other"}), ("other site", {"other"}), ("unspecified site", {"not_recorded"}),
)  # fmt: skip


def told(title: str) -> tuple[str, str | None, str]:
    """Location, side and stage as a title of the published list says them."""
    [location] = next(ours for words, ours in SITES if words in title)
    side = next((side for side in ("right", "left") if f"of {side} " in title), None)
    if "deep tissue damage" in title:
        return location, side, "deep_tissue_injury"
    if numbered := re.search(r"stage ([1-4])$", title):
        return location, side, f"stage_{numbered[1]}"
    return location, side, {"unstageable": "unstageable", "unspecified stage": "not_staged"}[title.rsplit(", ")[-1]]


def test_the_table_holds_every_billable_code_and_no_other():
    ours = sorted(code for code, found in CODES.items() if found.system == ICD10_CM)
    assert ours == BILLABLE
    # 25 sites, each with seven endings.
    assert len(ours) == 175 == 25 * 7
    assert len({code[:-1] for code in ours}) == 25


@pytest.mark.parametrize("code", BILLABLE)
def test_a_code_says_what_its_published_title_says(code):
    read = find(code, column="icd10_code")
    assert (read.says["location"], read.says.get("side"), read.says["stage"]) == told(published.get_description(code))
    assert find(code.replace(".", "").lower(), column="stage") is read


@pytest.mark.parametrize("code", sorted(set(L89) - set(BILLABLE)))
def test_a_heading_of_the_published_list_is_no_code(code):
    # "L89.0" is the elbow here and a stage in the WHO's ICD-10, so an incomplete code is never guessed at.
    assert find(code, column="icd10_code") is None


# ICD-10-CM: L89.155 and L89.71 were never codes, L89.15 lacks its last character.
@pytest.mark.parametrize("code", ["L89.155", "L89.71", "L89.15", "L89", "L891.54", "L89.1540", "L97.4", ""])
def test_what_is_no_code_is_not_read(code):
    assert find(code, column="icd10_code") is None


def verhoeff(digits: str) -> int:
    """0 for a SNOMED CT identifier without a slip: Verhoeff's scheme, in the dihedral group of order ten."""

    def times(a: int, b: int) -> int:
        turned = (a + b if a < 5 else a - b) % 5
        return turned + (5 if (a < 5) != (b < 5) else 0)

    step = (1, 5, 7, 6, 2, 8, 3, 0, 9, 4)
    check = 0
    for place, digit in enumerate(reversed(digits)):
        moved = int(digit)
        for _ in range(place):
            moved = step[moved]
        check = times(check, moved)
    return check


def test_the_check_digit_is_told_from_a_slip():
    # SNOMED CT: the concept of a stage III pressure injury, and the same with its last digit changed.
    assert (verhoeff("1163222004"), verhoeff("1163222005") != 0) == (0, True)


def test_every_concept_passes_its_check_digit():
    concepts = [code for code, found in CODES.items() if found.system == SNOMED_CT]
    assert len(concepts) == 15
    assert [code for code in concepts if verhoeff(code)] == []


# Active concepts: a public questionnaire of the Australian base FHIR guides. Inactive ones: SNOMED CT editorial guide,
# "Pressure ulcer Pressure injury" (January 2026), which lists what was replaced; that a deep pressure ulcer reads as
# the deep-tissue concept is our decision.
@pytest.mark.parametrize(
    ("concept", "active", "stage"),
    [
        ("1163217004", "1163217004", "stage_1"), ("1163220007", "1163220007", "stage_2"),
        ("1163222004", "1163222004", "stage_3"), ("1163224003", "1163224003", "stage_4"),
        ("1163226001", "1163226001", "unstageable"), ("723071003", "723071003", "deep_tissue_injury"),
        ("723073000", "723073000", "deep_tissue_injury"), ("1163215007", "1163215007", "not_staged"),
        ("421076008", "1163217004", "stage_1"), ("420324007", "1163220007", "stage_2"),
        ("421927004", "1163222004", "stage_3"), ("420597008", "1163224003", "stage_4"),
        ("421594008", "1163226001", "unstageable"), ("399912005", "1163215007", "not_staged"),
        ("165260000", "723071003", "deep_tissue_injury"),
    ],
)  # fmt: skip
def test_a_concept_says_its_stage_and_what_replaced_it(concept, active, stage):
    read = find(concept, column="stage")
    assert (read.says, read.active_code, read.is_active) == ({"stage": stage}, active, concept == active)
    assert CODES[active].says == read.says
    assert find(concept, column="location") is None


def test_codes_say_only_words_of_the_feed():
    words = {column: set(FEEDS["injuries"].column(column).codes) for column in ("location", "side", "stage")}
    said = {(column, word) for code in CODES.values() for column, word in code.says.items()}
    assert [pair for pair in sorted(said) if pair[1] not in words[pair[0]]] == []
    assert {word for code in CODES.values() for word in code.may_be} <= words["location"] | {"*"}
