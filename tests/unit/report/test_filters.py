"""How facts are written: thousands, dates, words, and what stands where nothing is known."""

from datetime import date, datetime
from decimal import Decimal

import pytest

from pipeline.report import filters


@pytest.mark.parametrize(
    ("value", "words"), [(0, "0"), (999, "999"), (6412, "6,412"), (Decimal("10.5"), "10.5"), (None, "No data")]
)
def test_number(value, words):
    assert filters.number(value) == words


@pytest.mark.parametrize(
    ("value", "words"), [(0, "0 people"), (1, "1 person"), (1200, "1,200 people"), (None, "No data on people")]
)
def test_counted(value, words):
    assert filters.counted(value, "person", "people") == words


def test_days_and_moments_do_not_follow_the_machine_s_language():
    assert filters.day(date(2026, 3, 2)) == "2 March 2026"
    assert filters.weekday(date(2026, 3, 2)) == "Monday 2 March 2026"
    assert filters.short_day(date(2026, 12, 31), date(2026, 3, 2)) == "31 December"
    assert filters.short_day(date(2025, 12, 31), date(2026, 3, 2)) == "31 December 2025"
    assert filters.moment(datetime(2026, 3, 2, 6, 5)) == "Monday 2 March 2026 at 06:05"


def test_nothing_known_is_said():
    assert (
        filters.day(None)
        == filters.short_day(None, date(2026, 3, 2))
        == filters.moment(None)
        == filters.said("")
        == "not recorded"
    )


@pytest.mark.parametrize(
    ("text", "words"), [("look again", "Look again."), ("Who?", "Who?"), (None, "Not recorded."), ("Done.", "Done.")]
)
def test_sentence(text, words):
    assert filters.sentence(text) == words


def test_codes_become_the_policy_s_words():
    words = filters.words_for({("stage", "stage_4"): "stage 4"})
    assert words("stage_4", "stage") == "stage 4"
    assert words("deep_tissue", "stage") == "deep tissue"
    assert words(None, "stage") == "not recorded"


FACTS = {
    ("column", "surface_class"): "Class of surface",
    ("surface_class", "foam"): "foam mattress",
    ("column", "days_since_service"): "Last service",
    ("column", "days_since_first_seen"): "Days since the first look",
    ("column", "has_flap"): "Flap surgery",
    ("column", "days_since_flap"): "Days since flap surgery",
    ("column", "has_any_score"): "ICD-10 code",
    ("column", "risk_rung"): "Risk score",
    ("risk_rung", "1"): "at risk",
    ("unsaid", "is_where_person_is"): "true",
}


@pytest.mark.parametrize(
    ("evidence", "words"),
    [
        ("surface_class = foam", "Class of surface: foam mattress"),
        ("weight_kg = 62.5000; max_user_kg = 1200.0000", "Weight kg: 62.5; Max user kg: 1,200"),
        ("issued_on = 2025-11-03", "Issued on: 3 November 2025"),
        ("days_since_service = 390", "Last service: 390 days ago"),
        ("days_since_first_seen = 1", "The first look: 1 day ago"),
        ("has_flap = true; days_since_flap = 21", "Flap surgery: 21 days ago"),
        ("has_flap = true; days_since_flap = ", "Flap surgery: yes"),
        ("has_flap = false; days_since_flap = 90", "Flap surgery: no; Flap surgery: 90 days ago"),
        ("has_any_score = false", "ICD-10 code: no"),
        ("weight_kg = ; surface_class = foam", "Class of surface: foam mattress"),
        ("risk_rung = 1; injuries = 1", "Risk score: at risk; Injuries: 1"),
        ("is_where_person_is = true; surface_class = foam", "Class of surface: foam mattress"),
        ("is_where_person_is = false", "Is where person is: no"),
        ("surface_class = a = b", "Class of surface: a = b"),
        ("", ""),
        (None, ""),
    ],
)
def test_evidence_becomes_words(evidence, words):
    assert filters.facts_for(FACTS)(evidence) == words
