"""The small typed language of a rule's `when`.

A rule decides about people, and a missing fact must never read as safe. So the language is small enough that this
can be proven: no construct in it can turn "not known" into false. sqlglot reads the text; what it read is then judged
word by word, node by node and type by type, and whatever is not listed here is refused.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import sqlglot
from sqlglot import exp
from sqlglot.errors import ParseError, TokenError

from pipeline.policy.rule_typing import StatementRefused, judge_boolean

_STRING = re.compile(r"'[^']*'")
_WORD = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
_NUMBER = re.compile(r"\d+(\.\d+)?")
_TOKEN = re.compile(rf"\s*({_STRING.pattern}|{_WORD.pattern}|{_NUMBER.pattern}|<=|>=|<>|=(?!=)|[<>(),+\-*$])")
KEYWORDS = frozenset({"and", "or", "not", "in", "between", "is", "null", "true", "false", "abs"})
# What people try first, each with what to write instead.
HINTS = {
    "like": "compare with whole codes",
    "ilike": "compare with whole codes",
    "case": "write two rules, or use and and or",
    "cast": "let the state relation give the right type",
    "coalesce": "a missing fact must stay missing",
    "ifnull": "a missing fact must stay missing",
    "select": "let the state relation give a column",
}


@dataclass(frozen=True)
class Statement:
    """A `when` that was read and typed.

    tree: the expression, parameters still as placeholders. columns: every column it names, in the order of first
    mention. asked: those of them whose absence the statement does not deal with itself by an `is null`.
    """

    tree: exp.Expression
    columns: tuple[str, ...]
    asked: tuple[str, ...]
    parameters: tuple[str, ...]


def parse_statement(text: str, *, columns: Sequence[Any], parameters: Mapping[str, Decimal]) -> Statement:
    """Read `text` over `columns` (objects with name, type, codes) and numeric `parameters`.

    StatementRefused, with a sentence on what to write instead, for everything outside the language.
    """
    by_name = {column.name: column for column in columns}
    _judge_words(text, names={*by_name, *parameters})
    try:
        tree = sqlglot.parse_one(text, read="duckdb")
    except (ParseError, TokenError):
        raise StatementRefused("it is not a complete expression", todo="Check brackets and quotes") from None
    judge_boolean(tree, columns=by_name, parameters=parameters)
    dealt_with = {node.this.name for node in tree.find_all(exp.Is)}
    named = tuple(dict.fromkeys(node.name for node in tree.dfs() if isinstance(node, exp.Column)))
    return Statement(
        tree=tree,
        columns=named,
        asked=tuple(name for name in named if name not in dealt_with),
        parameters=tuple(dict.fromkeys(node.name for node in tree.dfs() if isinstance(node, exp.Placeholder))),
    )


def _judge_words(text: str, *, names: set[str]) -> None:
    # Before any parser: a parser accepts more spellings than a reader of the policy knows (==, ::, isnull, comments).
    bare = _STRING.sub("''", text)
    if "--" in bare or "/*" in bare or "#" in bare:
        raise StatementRefused("it holds a comment", todo="Put the comment above the block, after #")
    place = 0
    while place < len(text.rstrip()):
        token = _TOKEN.match(text, place)
        if token is None:
            raise StatementRefused(f"the sign {text[place:].lstrip()[0]!r} does not belong here", todo=SIGNS)
        if _WORD.fullmatch(token[1]) and token[1] not in names:
            _judge_word(token[1])
        place = token.end()


def _judge_word(word: str) -> None:
    if word.lower() in HINTS:
        raise StatementRefused(f"{word.lower()} is not part of the language", todo=HINTS[word.lower()].capitalize())
    if word.lower() not in KEYWORDS:
        raise StatementRefused(
            f"{word} is neither a column of its subject, nor a parameter of its block, nor a word of the language",
            todo="Mend the name; `caseround relations` lists the columns",
        )


SIGNS = "Use = <> < <= > >= ( ) , + - * $ with columns, numbers and codes in single quotes"
