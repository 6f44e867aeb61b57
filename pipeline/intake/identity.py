"""The identity gate: headings and values that would tell who a person is.

Check digits: NHS number as the NHS data dictionary describes it (modulus 11); Australian Medicare card and individual
healthcare identifier (Luhn) as the Australian digital health specifications do; the US social security number has no
check digit, so only its written shape with dashes counts: without them it is any number of nine digits.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

TABLE = Path(__file__).with_name("identity_headings.csv")

# Every shape below needs an at sign or nine digits; a column engine finds these candidates a thousand times faster.
CANDIDATE = r"@|[0-9](?:[ ()./-]*[0-9]){8}"
_CANDIDATE = re.compile(CANDIDATE)


@dataclass(frozen=True)
class _Heading:
    words: tuple[str, ...]
    unless: frozenset[str]


def _read_table() -> tuple[_Heading, ...]:
    with TABLE.open(encoding="utf-8", newline="") as lines:
        return tuple(
            _Heading(tuple(row["words"].split()), frozenset(filter(None, row["unless"].split("|"))))
            for row in csv.DictReader(lines)
        )


_HEADINGS = _read_table()


def identity_headings(headings: Iterable[str]) -> tuple[str, ...]:
    """The headings that mean a name, a birth date, an address, a phone, an e-mail or a record number."""
    return tuple(heading for heading in headings if _names_people(heading))


def _names_people(heading: str) -> bool:
    # patientName, PATIENT-NAME and "patient name" are the same three ways to write it.
    spaced = re.sub(r"(?<=[a-z0-9])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])", " ", heading)
    words = re.findall(r"[^\W_]+", spaced.lower())
    joined = "".join(words)
    return any(
        (_follow(row.words, words) or (len(row.words) > 1 and "".join(row.words) == joined))
        and not row.unless & set(words)
        for row in _HEADINGS
    )


def _follow(wanted: tuple[str, ...], words: list[str]) -> bool:
    return any(tuple(words[at : at + len(wanted)]) == wanted for at in range(len(words) - len(wanted) + 1))


# Not inside a word, a decimal, a pseudonym with dashes, or in front of the colon of a time.
_EDGE, _END = r"(?<![\w.+/-])", r"(?![\w/:-]|\.\d)"
_EMAIL = re.compile(r"[\w.+'-]+@[\w-]+(?:\.[\w-]+)+")
_NHS = re.compile(rf"{_EDGE}(\d{{3}}[ -]?\d{{3}}[ -]?\d{{4}}){_END}", re.ASCII)
_MEDICARE = re.compile(rf"{_EDGE}([2-6]\d{{3}}[ -]?\d{{5}}[ -]?\d(?:[ /-]?\d)?){_END}", re.ASCII)
_IHI = re.compile(rf"{_EDGE}(8003[ -]?60\d{{2}}[ -]?\d{{4}}[ -]?\d{{4}}){_END}", re.ASCII)
_SSN = re.compile(rf"{_EDGE}(?!000|666|9\d\d)\d{{3}}-(?!00)\d\d-(?!0000)\d{{4}}{_END}", re.ASCII)
_PHONES = (
    # With a country code; a national number that starts with 0 (10 or 11 digits); three groups as in North America.
    re.compile(rf"(?<![\w.])\+\d{{1,3}}[ .-]?(?:\(0\)[ ]?)?\(?\d(?:[ ().-]{{0,2}}\d){{7,11}}{_END}", re.ASCII),
    re.compile(rf"{_EDGE}\(?0[1-9](?:[ ().-]{{0,2}}\d){{8,9}}{_END}", re.ASCII),
    re.compile(rf"(?<![\w.-])(?:\([2-9]\d{{2}}\) ?|[2-9]\d{{2}}[ .-])\d{{3}}[ .-]\d{{4}}{_END}", re.ASCII),
)


def identifies(value: str) -> bool:
    """Does the text hold a national number that passes its check, an e-mail address or a phone number?"""
    if not _CANDIDATE.search(value):
        return False
    if _EMAIL.search(value) or _SSN.search(value) or any(phone.search(value) for phone in _PHONES):
        return True
    checks = ((_NHS, is_nhs_number), (_MEDICARE, is_medicare_number), (_IHI, is_ihi))
    return any(holds(_digits(match.group(1))) for shape, holds in checks for match in shape.finditer(value))


def _digits(text: str) -> str:
    return re.sub(r"\D", "", text)


def is_nhs_number(digits: str) -> bool:
    """Ten digits, the last being 11 minus (weights 10 to 2) modulo 11, where 11 reads 0 and 10 is never issued."""
    if len(digits) != 10:
        return False
    check = 11 - sum(int(digit) * weight for digit, weight in zip(digits, range(10, 1, -1), strict=False)) % 11
    return check != 10 and check % 11 == int(digits[9])


def is_medicare_number(digits: str) -> bool:
    """Eight digits starting 2 to 6, a check digit, an issue digit, and perhaps the person's place on the card."""
    if len(digits) not in (10, 11) or digits[0] not in "23456":
        return False
    weighted = sum(int(digit) * weight for digit, weight in zip(digits, (1, 3, 7, 9, 1, 3, 7, 9), strict=False))
    return weighted % 10 == int(digits[8])


def is_ihi(digits: str) -> bool:
    """Sixteen digits starting 800360 that pass Luhn's check."""
    if len(digits) != 16 or not digits.startswith("800360"):
        return False
    doubled = [int(digit) * (2 if place % 2 == 0 else 1) for place, digit in enumerate(digits)]
    return sum(number // 10 + number % 10 for number in doubled) % 10 == 0
