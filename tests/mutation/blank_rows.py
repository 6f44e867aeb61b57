"""Whether the blank row that a LEFT JOIN adds could come through, or a later condition throws it out again.

    FROM s.a INNER JOIN s.b ON b.x = a.x INNER JOIN s.c ON c.y = b.y

Written LEFT, the first join would keep each row of a without a b, with nothing in b.y; but a comparison with nothing is
never true, so the second join drops that row after all. Nobody can tell such a LEFT from the INNER. A column that is
bare in HAVING is one of those grouped by, so the blank rows have groups of their own, which are dropped likewise.
"""

COMPARISONS = {"=", "<>", "<", "<=", ">", ">=", "IN", "BETWEEN"}
JOINS = {"LEFT", "INNER", "CROSS", "FULL", "RIGHT"}
CONDITIONS = {"WHERE", "HAVING"}
ENDS = {"ORDER", "UNION", "LIMIT", "WINDOW"}


def is_asked_again(words: list[str], place: int) -> bool:
    """True when the INNER at `place` may as well be LEFT: words are the tokens of the SQL, in capitals."""
    name, after = _joined_name(words, place)
    clauses = list(_clauses(words[after:]))
    if name is None or any(kind in ("FULL", "RIGHT") for kind, _ in clauses):
        return False
    return any(_drops_blank(terms, name) for kind, terms in clauses[1:] if kind == "INNER" or kind in CONDITIONS)


def _joined_name(words: list[str], place: int) -> tuple[str | None, int]:
    """What the joined relation is called in this SELECT, and where its ON stands."""
    after = place + 2
    if words[place + 1] != "JOIN" or words[after] == "(":
        return None, after
    while words[after] != "ON":
        after += 1
    return words[after - 1], after


def _clauses(words: list[str]) -> list[tuple[str, list[str]]]:
    """The rest of the SELECT as (kind of join or clause, its words), the condition in hand first."""
    depth, kind, clauses = 0, "INNER", []
    for word in words:
        depth += (word == "(") - (word == ")")
        if depth < 0 or (depth == 0 and word in ENDS):
            break
        if depth == 0 and word in JOINS:
            kind = word
            clauses.append((kind, []))
        elif depth == 0 and word == "ON":
            clauses.append((kind, []))
        elif depth == 0 and word in (*CONDITIONS, "GROUP"):
            clauses.append((word, []))
        elif clauses:
            clauses[-1][1].append(word)
    return clauses


def _drops_blank(condition: list[str], name: str) -> bool:
    """True when one of the conditions that must all hold compares a column of `name`, as it is, with something."""
    terms, depth, is_between = [[]], 0, False
    for word in condition:
        depth += (word == "(") - (word == ")")
        if depth == 0 and word == "OR":
            return False
        if depth == 0 and word == "AND" and not is_between:
            terms.append([])
            continue
        if depth == 0:
            is_between = word == "BETWEEN" or (is_between and word != "AND")
        terms[-1].append(word)
    return any(_compares(term, name) for term in terms)


def _compares(term: list[str], name: str) -> bool:
    if len(term) < 4 or "IS" in term or "CASE" in term:
        return False
    first = term[:2] == [name, "."] and term[3] in COMPARISONS
    last = term[-3:-1] == [name, "."] and term[-4] in COMPARISONS - {"IN", "BETWEEN"}
    return first or last
