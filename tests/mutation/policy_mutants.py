"""Small faults planted in the policy: each number one up and one down, each comparison and word of a rule changed."""

import hashlib
import re
from collections.abc import Iterator
from pathlib import Path

from tests.mutation.sql_mutants import NEIGHBOURS, Mutant

NUMBER = re.compile(r"(?<![\w.\"-])(\d+(?:\.\d+)?)(?![\w.\"-])")
COMPARISON = re.compile(r"(?<![<>=])(<=|>=|<>|<|>|=)(?![<>=])")
QUOTED = re.compile(r'"[^"]*"')
WORD = re.compile(r"\b(and|or)\b")
# Days, sources and words for people decide nothing.
NOT_MUTATED = ("effective_from", "signed_off", "source", "title", "consider", "label", "loinc", "snomed", "licence",
               "basis", "id", "why", "note", "schema_version")  # fmt: skip


def mutants_of(path: Path, *, root: Path) -> Iterator[Mutant]:
    """Every mutant of one policy file, in the order of its lines."""
    text = path.read_text(encoding="utf-8")
    name = path.relative_to(root).as_posix()
    seen: dict[str, int] = {}
    start = 0
    for number, line in enumerate(text.splitlines(keepends=True), start=1):
        for first, last, new in _edits(line):
            what = f"{line[first:last]} -> {new}"
            key = f"{line.strip()}|{what}"
            seen[key] = seen.get(key, 0) + 1
            digest = hashlib.sha256(f"{name}|{key}|{seen[key]}".encode()).hexdigest()[:8]
            yield Mutant(
                id=f"policy/{name}/{digest}", relation=f"policy/{name}", path=path, line=number, what=what,
                text=text[: start + first] + new + text[start + last :],
            )  # fmt: skip
        start += len(line)


def _edits(line: str) -> Iterator[tuple[int, int, str]]:
    key, sign, value = line.partition("=")
    if not sign or line.lstrip().startswith("#") or key.strip().startswith(NOT_MUTATED):
        return
    offset = len(key) + 1
    is_statement = key.strip() == "when"
    if not is_statement:
        # A digit inside a text is part of a word or a source; the text becomes blanks of the same length.
        value = QUOTED.sub(lambda quoted: " " * len(quoted[0]), value)
    for found in NUMBER.finditer(value):
        for change in _next_numbers(found[1]):
            yield offset + found.start(1), offset + found.end(1), change
    if is_statement:
        for found in COMPARISON.finditer(value):
            yield offset + found.start(1), offset + found.end(1), NEIGHBOURS[found[1]]
        for found in WORD.finditer(value):
            yield offset + found.start(1), offset + found.end(1), "or" if found[1] == "and" else "and"


def _next_numbers(said: str) -> tuple[str, str]:
    if "." in said:
        return str(round(float(said) + 0.1, 4)), str(round(float(said) - 0.1, 4))
    return str(int(said) + 1), str(int(said) - 1)
