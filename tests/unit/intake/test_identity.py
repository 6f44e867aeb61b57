"""The identity gate, against published check values and against what only looks like one."""

import pytest

from pipeline.intake.identity import identifies, identity_headings, is_ihi, is_medicare_number, is_nhs_number


# NHS number, modulus 11: the documentation's example 943 476 5919, and numbers computed from the published rule.
@pytest.mark.parametrize("digits", ["9434765919", "4010232137", "4505577104", "9990000018", "9876543210"])
def test_nhs_numbers_that_pass(digits):
    assert is_nhs_number(digits)
    assert identifies(digits)


@pytest.mark.parametrize("digits", ["9434765918", *(f"123456789{last}" for last in range(10))])
def test_nhs_numbers_that_fail(digits):
    # 123456789 leads to a check digit of 10, which is never issued.
    assert not is_nhs_number(digits)


# Medicare card: 2123 4567 0 is the worked example of the Australian digital health specification (weighted sum 170);
# 2951 6278 6 is computed from the same rule. The issue digit is free.
@pytest.mark.parametrize("digits", ["2123456701", "2951627861", "29516278612"])
def test_medicare_numbers_that_pass(digits):
    assert is_medicare_number(digits)
    assert identifies(digits)


@pytest.mark.parametrize("digits", ["1234567891", "2123456711", "212345670"])
def test_medicare_numbers_that_fail(digits):
    # The first starts with 1, the second has another check digit, the third lacks the issue digit.
    assert not is_medicare_number(digits)


# Individual healthcare identifier: published Australian example patient; provider numbers start 800361.
def test_ihi():
    assert is_ihi("8003608833357361")
    assert identifies("8003 6088 3335 7361")
    assert not is_ihi("8003608833357362")
    assert not is_ihi("8003618833357361")


# Social security number: shape from memory of the published issuing rules.
@pytest.mark.parametrize(
    ("text", "is_one"),
    [("123-45-6789", True), ("000-12-3456", False), ("666-12-3456", False), ("900-12-3456", False),
     ("123-00-4567", False), ("123-45-0000", False), ("123456789", False)],
)  # fmt: skip
def test_social_security_numbers(text, is_one):
    assert identifies(text) is is_one


# Telephone numbers from the ranges that are set aside for fiction (07700 900xxx, 555-01xx), e-mail at example.org.
@pytest.mark.parametrize(
    "text",
    ["someone@example.org", "write to a.b+c@mail.example.org now", "07700 900123", "+44 7700 900123", "(0770) 0900123",
     "+44 (0)7700 900123", "415-555-0132", "(415) 555-0132", "ring 07700900123.", "NHS 943 476 5919", "nhs:9434765919",
     "2123 45670 1"],
)  # fmt: skip
def test_values_that_identify(text):
    assert identifies(text)


@pytest.mark.parametrize(
    "text",
    ["", "C-0417", "P-9434765919", "2026-03-02", "2026-03-02T10:00:00+01:00", "05.01.2026 10:00", "05-01-2026 10:00",
     "20260302", "20260302060000", "0.9434765919", "12345678901234567890", "B7 @ home", "1-2-3-4-5-6-7-8",
     "0000000000000", "Saltbeck Community"],
)  # fmt: skip
def test_values_that_do_not(text):
    assert not identifies(text)


@pytest.mark.parametrize(
    "heading",
    ["name", "Patient Name", "patientName", "PATIENT_NAME", "Surname", "first name", "DOB", "date_of_birth",
     "DateOfBirth", "birth date", "Address", "post code", "PostCode", "Telephone", "Mobile number", "e-mail",
     "EMail", "NHS Number", "nhs_no", "MRN", "hospital-number", "record number", "Medicare",
     "next of kin", "clinician name"],
)  # fmt: skip
def test_headings_that_name_people(heading):
    assert identity_headings([heading]) == (heading,)


@pytest.mark.parametrize(
    "heading",
    ["site name", "team_name", "device name", "mobility", "mobile", "birth_weight", "shelf", "record_status",
     "location", "telemetry", "phoneme", "zipper", "client_id", "number", "first_contact_at",
     "first_noticed_on"],
)  # fmt: skip
def test_headings_that_do_not(heading):
    assert identity_headings([heading]) == ()


def test_no_column_of_a_feed_is_an_identity_heading():
    from pipeline.feeds.columns import FEEDS

    assert identity_headings(column.name for feed in FEEDS.values() for column in feed.columns) == ()
