"""Codes that say in one word where a wound is or how deep, read from three tables beside this module.

`l89_sites.csv` and `l89_stages.csv` make ICD-10-CM's chapter L89: each site takes each last digit that codes of its
length have. `snomed_stages.csv` holds SNOMED CT concepts, and beside those that were made inactive what replaced them.
A code that no table holds is not read at all.
"""

from __future__ import annotations

import csv
import hashlib
from dataclasses import dataclass
from pathlib import Path

# The feed that such codes may stand in, the column made for them, and the columns whose cells they fill.
FEED = "injuries"
CODE_COLUMN = "icd10_code"
FILLED = ("location", "side", "stage")
ICD10_CM, SNOMED_CT = "icd10_cm", "snomed_ct"
TABLES = tuple(Path(__file__).with_name(f"{name}.csv") for name in ("l89_sites", "l89_stages", "snomed_stages"))
ANYWHERE = "*"


@dataclass(frozen=True)
class WoundCode:
    """One code. `says` has the feed's word for each column that it tells of, and lacks those that it does not.

    `may_be` are other locations that the code's site holds, so naming one of them beside it is no contradiction;
    `active_code` is the code itself, or the one that replaced it.
    """

    system: str
    code: str
    says: dict[str, str]
    may_be: frozenset[str]
    active_code: str
    basis: str
    source: str
    reading: str

    @property
    def is_active(self) -> bool:
        return self.active_code == self.code

    def contradicts(self, column: str, word: str) -> bool:
        """Does a word in a column of its own say something else? What the code leaves open contradicts nothing."""
        said = self.says.get(column)
        if said in (None, "not_staged") or word == said:
            return False
        return column != "location" or not ({word, ANYWHERE} & self.may_be)


def _rows(table: Path) -> list[dict[str, str]]:
    with table.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def _l89() -> list[WoundCode]:
    sites, stages, _ = TABLES
    endings = [(int(row["characters"]), row["digit"], row["stage"]) for row in _rows(stages)]
    return [
        WoundCode(
            ICD10_CM, code := row["site"] + digit,
            {column: word for column, word in zip(FILLED, (row["location"], row["side"], stage), strict=True) if word},
            frozenset(row["may_be"].split("|")) - {""}, code, row["basis"], row["source"], row["reading"],
        )
        for row in _rows(sites) for characters, digit, stage in endings
        if len(row["site"].replace(".", "")) + 1 == characters
    ]  # fmt: skip


def _snomed() -> list[WoundCode]:
    return [
        WoundCode(
            SNOMED_CT, row["concept"], {"stage": row["stage"]}, frozenset(), row["active_concept"], row["basis"],
            row["source"], row["reading"],
        )
        for row in _rows(TABLES[2])
    ]  # fmt: skip


CODES: dict[str, WoundCode] = {code.code: code for code in (*_l89(), *_snomed())}
# ICD-10-CM codes travel with their dot and without it.
_WRITTEN = CODES | {code.replace(".", ""): found for code, found in CODES.items()}


def find(text: str, *, column: str) -> WoundCode | None:
    """The code that a cell of a column holds; None when it is none that is read there.

    ICD-10-CM is read in all four columns, a SNOMED CT concept only where it says something: in the stage.
    """
    code = _WRITTEN.get(text.upper())
    return code if code and (code.system == ICD10_CM or column in code.says) else None


def fingerprint() -> str:
    """sha256 over the tables: under other tables the same bytes read otherwise."""
    return hashlib.sha256(b"".join(table.read_bytes() for table in TABLES)).hexdigest()
