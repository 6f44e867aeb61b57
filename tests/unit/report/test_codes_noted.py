"""What the weekly audit says of codes of wounds, to whoever makes the export."""

from tests.unit.report import world
from tests.unit.report.test_pages import audit_of
from tests.unit.report.test_weekly_audit import words_of

INACTIVE = {
    "source": "ward", "received_at": world.at(3, 1, 6), "note": "inactive_code", "column_name": "stage",
    "code": "420597008", "system": "snomed_ct", "stage": "stage_4", "active_code": "1163224003", "rows_noted": 7,
}  # fmt: skip
DISAGREES = INACTIVE | {
    "source": "default", "note": "code_disagrees", "code": "L89.154", "system": "icd10_cm", "active_code": "L89.154",
    "rows_noted": 1,
}  # fmt: skip


def words_for(tmp_path, *noted, is_first=False):
    rows = world.ordinary_week()
    rows["quality.codes_noted"] = list(noted)
    rows["review.parameters"][0] |= {"previous_known_at": world.at(2, 23, 6), "is_first_audit": is_first}
    return words_of(audit_of(tmp_path, rows))


def test_an_inactive_code_is_named_with_what_it_was_read_as_and_what_replaced_it(tmp_path):
    assert (
        "7 rows of ward hold a SNOMED CT code that is no longer active, 420597008, in “Stage”."
        " It was read as stage 4, like 1163224003, which replaced it."
    ) in words_for(tmp_path, INACTIVE)


def test_codes_that_disagree_are_counted_by_column(tmp_path):
    words = words_for(tmp_path, DISAGREES, DISAGREES | {"code": "L89.621", "rows_noted": 2})
    assert "3 rows have a code that says otherwise than “Stage” beside it. What stands in “Stage” was used." in words
    assert "1 row has a code" in words_for(tmp_path / "one", DISAGREES)


def test_what_came_before_the_audit_before_is_said_in_the_first_audit_only(tmp_path):
    old = INACTIVE | {"received_at": world.at(2, 23, 6)}
    assert "Codes of wounds" not in words_for(tmp_path, old)
    assert "7 rows of ward" in words_for(tmp_path / "first", old, is_first=True)
