"""A header reads as data, and one that cannot be read says which line it is."""

import pytest

from pipeline.feeds.columns import FEEDS
from pipeline.review.headers import parse_header, without_header

TEXT = """\
-- question: What total does policy give each assessment?
-- grain:    one row per assessment_id and team
-- key:      assessment_id, team?
-- inputs:   records.assessments, policy.scales,
--           policy.scale_items
-- beware:   an incomplete assessment has no total
-- columns:
--   assessment_id   id                          the assessment
--   team            text                        the team; blank
--                                               for people without one
--   band            code not_at_risk|at_risk    its band
--   surface_class   code loans.surface_class    the class
--   total           number  the total
-- A sentence about the SQL ends the header.
SELECT 1;
"""


def test_fields_are_read():
    header = parse_header(TEXT)
    assert header.question == "What total does policy give each assessment?"
    assert header.key == ("assessment_id", "team")
    assert header.blank_in_key == ("team",)
    assert header.inputs == ("records.assessments", "policy.scales", "policy.scale_items")
    assert header.stored == "table"
    assert header.column("team").meaning == "the team; blank for people without one"


def test_codes_are_the_listed_ones_or_those_of_a_feed_column():
    header = parse_header(TEXT)
    assert header.column("band").codes == ("not_at_risk", "at_risk")
    assert header.column("surface_class").codes == FEEDS["loans"].column("surface_class").codes
    assert header.column("team").codes == ()


def test_types_have_their_place_in_the_database():
    header = parse_header(TEXT)
    assert [column.sql_type for column in header.columns] == ["VARCHAR"] * 4 + ["DECIMAL(18,4)"]


def test_select_is_what_stands_below():
    assert without_header(TEXT).splitlines() == ["-- A sentence about the SQL ends the header.", "SELECT 1"]


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("--   band            code not_at_risk|at_risk", "two spaces apart"),
        ("--   band            colour                  its band", "unknown type"),
        ("--   band            code loans.colour       its band", "no feed column"),
        ("--   band            code lorries.colour     its band", "no feed column"),
    ],
)
def test_line_that_cannot_be_read_is_named(line, says):
    with pytest.raises(ValueError, match=says):
        parse_header(TEXT.replace("--   band            code not_at_risk|at_risk    its band", line))


def test_line_of_no_field_is_named():
    with pytest.raises(ValueError, match="belongs to no field"):
        parse_header(TEXT.replace("-- grain: ", "-- grains: "))
