"""Small faults planted in the SQL, one at a time: each is what a tired person might have written instead."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sqlglot.dialects.duckdb import DuckDB
from sqlglot.tokens import Token, TokenType

from tests.mutation.blank_rows import is_asked_again

NEIGHBOURS = {"<": "<=", "<=": "<", ">": ">=", ">=": ">", "=": "<>", "<>": "="}
SWAPS = {"AND": "OR", "OR": "AND", "LEFT": "INNER", "INNER": "LEFT"}
# A term of a condition ends where the next one or the next clause begins.
TERM_STARTS = {"WHERE", "ON", "AND", "HAVING", "FILTER"}
TERM_ENDS = {
    "AND", "OR", "GROUP", "ORDER", "LEFT", "INNER", "JOIN", "CROSS", "FULL", "HAVING", "UNION", "WHERE", "THEN",
    "ELSE", "END", "LIMIT", "WINDOW",
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """One planted fault: `id` stays the same when lines move; `what` says it in a few words."""

    id: str
    relation: str
    path: Path
    line: int
    what: str
    text: str


def mutants_of(relation: str, path: Path) -> Iterator[Mutant]:
    """Every mutant of one SQL file, in the order of the text; the header is left alone."""
    text = path.read_text(encoding="utf-8")
    seen: dict[str, int] = {}
    words = DuckDB().tokenize(text)
    for start, end, line, new in sorted(_edits(words, text)):
        what = f"{' '.join(text[start:end].split())} -> {new}"
        key = f"{text.splitlines()[line - 1].strip()}|{what}"
        seen[key] = seen.get(key, 0) + 1
        digest = hashlib.sha256(f"{relation}|{key}|{seen[key]}".encode()).hexdigest()[:8]
        yield Mutant(
            id=f"{relation}/{digest}", relation=relation, path=path, line=line, what=what,
            text=text[:start] + new + text[end:],
        )  # fmt: skip


def _edits(words: list[Token], text: str) -> Iterator[tuple[int, int, int, str]]:
    betweens = _ands_of_between(words)
    spoken = [text[word.start : word.end + 1].upper() for word in words]
    for place, word in enumerate(words):
        said = text[word.start : word.end + 1]
        if said in NEIGHBOURS:
            yield word.start, word.end + 1, word.line, NEIGHBOURS[said]
        elif said.upper() in SWAPS and place not in betweens:
            if said.upper() == "INNER" and is_asked_again(spoken, place):
                continue
            yield word.start, word.end + 1, word.line, SWAPS[said.upper()]
        elif word.token_type == TokenType.NUMBER and not _changes_nothing(words, place, text):
            for change in _next_numbers(said):
                yield word.start, word.end + 1, word.line, change
        if said.upper() in TERM_STARTS and place not in betweens and (term := _term_after(words, place, text)):
            yield term[0], term[1], words[place + 1].line, "TRUE"


def _next_numbers(said: str) -> tuple[str, str]:
    if "." in said:
        return f"({said} + 1)", f"({said} - 1)"
    return str(int(said) + 1), str(int(said) - 1)


def _ands_of_between(words: list[Token]) -> set[int]:
    waiting, found = 0, set()
    for place, word in enumerate(words):
        if word.token_type == TokenType.BETWEEN:
            waiting += 1
        elif word.token_type == TokenType.AND and waiting:
            waiting -= 1
            found.add(place)
    return found


def _changes_nothing(words: list[Token], place: int, text: str) -> bool:
    """The size of a type, the 0 of a divisor, or a 1 of COUNT(CASE WHEN ... THEN 1 ... END).

    The lint refuses any divisor but NULLIF(..., 0), and a count asks only whether a value is there.
    """
    before = [text[word.start : word.end + 1].upper() for word in words[:place]]
    if "DECIMAL" in before[-4:] or before[-2:] == ["VARCHAR", "("] or _ends_divisor(before):
        return True
    if before[-1] != "THEN" or text[words[place + 1].start : words[place + 1].end + 1].upper() not in ("WHEN", "END"):
        return False
    # The CASE that this THEN belongs to: each END met on the way back closes another one.
    inner = 0
    for case in range(len(before) - 1, -1, -1):
        inner += (before[case] == "END") - (before[case] == "CASE")
        if inner < 0:
            return before[case - 2 : case] == ["COUNT", "("]
    return False


def _ends_divisor(before: list[str]) -> bool:
    """True after `/ NULLIF(x,`: what follows is what the divisor must not be."""
    if before[-1] != ",":
        return False
    depth = 0
    for place in range(len(before) - 1, 1, -1):
        depth += (before[place] == ")") - (before[place] == "(")
        if depth < 0:
            return before[place - 2 : place] in (["/", "NULLIF"], ["%", "NULLIF"])
    return False


def _term_after(words: list[Token], place: int, text: str) -> tuple[int, int] | None:
    depth, last, waiting = 0, None, 0
    for word in words[place + 1 :]:
        said = text[word.start : word.end + 1].upper()
        if said == "(":
            depth += 1
        elif said == ")":
            depth -= 1
        if depth < 0:
            break
        if depth == 0 and said == "BETWEEN":
            waiting += 1
        elif depth == 0 and said == "AND" and waiting:
            waiting -= 1
        elif depth == 0 and said in TERM_ENDS and last is not None:
            if said == "OR":
                # Half of an alternative is no term of its own.
                return None
            break
        last = word
    if last is None:
        return None
    return words[place + 1].start, last.end + 1
