"""All rules in force as the one SELECT of audit.verdicts.

One pass over each subject: a list with one struct a rule, the clear ones filtered out, the rest unnested. The SELECT is
written in the portable subset, so that the same text runs on the other engine after translation.
"""

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from sqlglot import exp

from pipeline.policy import Rule, parse_statement
from pipeline.review.generated import EMPTY_VERDICTS

# Where each subject stands, and what names one of its rows beside the person.
SUBJECTS = {
    "client": ("state.clients", None),
    "injury": ("state.injuries", "injury_id"),
    "loan": ("state.loans", "loan_id"),
}
NOT_KNOWN = "not known"
# Text of a number without the zeros that its scale adds: 62.5000 reads as 62.5.
TRAILING_ZEROS = "[.]?0+$"


@dataclass(frozen=True)
class Compiled:
    """One rule in SQL: each part is an expression over one row of its subject's state relation."""

    rule: str
    verdict: str
    evidence: str
    missing_columns: str
    since_on: str
    applies: str | None


def compile_verdicts(
    rules: Sequence[Rule], columns: Mapping[str, Sequence[Any]], *, with_unknown: bool = True
) -> str:
    """The SELECT of audit.verdicts: a row for each rule and subject whose verdict is TRUE or NULL, none for FALSE.

    Without the unknown ones only TRUE leaves a row: for whoever asks what was found and nothing else.

    `columns` maps client, injury and loan to the documented columns (name, type, codes) of their state relation.
    Columns out: rule, about, client_id, loan_id, injury_id, verdict, evidence, missing_columns, since_on, could_apply.
    StatementRefused when a rule's statement is outside the grammar: the loader has refused it before, with its file.
    """
    parts = []
    for about, (relation, own_id) in SUBJECTS.items():
        about_this = [_compiled(rule, tuple(columns[about])) for rule in rules if rule.about == about]
        if about_this:
            parts.append(_subject(
                about, relation=relation, own_id=own_id, rules=about_this, with_unknown=with_unknown,
            ))  # fmt: skip
    return "\nUNION ALL\n".join(parts) + "\n" if parts else EMPTY_VERDICTS


def compile_rule(rule: Rule, columns: Sequence[Any]) -> Compiled:
    """One rule over the columns of its subject; see compile_verdicts."""
    statement = parse_statement(rule.when, columns=columns, parameters=dict(rule.parameters))
    by_name = {column.name: column for column in columns}
    verdict = _sql(statement.tree, dict(rule.parameters))
    asked, named = statement.asked, statement.columns
    if rule.applies_to == "adult":
        verdict = f"is_adult AND ({verdict})"
        asked, named = (tuple(dict.fromkeys(("is_adult", *names))) for names in (asked, named))
    return Compiled(
        rule=rule.rule,
        verdict=verdict,
        evidence=_evidence([by_name[name] for name in statement.columns]),
        missing_columns=_missing(asked, named),
        since_on=_since(rule, [by_name[name] for name in statement.columns]),
        applies=_applies(rule, columns),
    )


# The audit before has the same rules as this one but for those that policy changed in between.
_compiled = functools.cache(compile_rule)


def _subject(about: str, *, relation: str, own_id: str | None, rules: Sequence[Compiled], with_unknown: bool) -> str:
    ids = {name: name if name == own_id else "CAST(NULL AS VARCHAR)" for name in ("loan_id", "injury_id")}
    structs = ",\n".join(_struct(rule, with_unknown=with_unknown) for rule in rules)
    counts = ",\n            ".join(_count(rule) for rule in rules)
    return f"""\
SELECT
    judged.found.rule AS rule,
    '{about}' AS about,
    judged.client_id,
    judged.loan_id,
    judged.injury_id,
    judged.found.verdict AS verdict,
    judged.found.evidence AS evidence,
    judged.found.missing_columns AS missing_columns,
    judged.found.since_on AS since_on,
    judged.found.could_apply AS could_apply
FROM (
    SELECT
        client_id,
        {ids["loan_id"]} AS loan_id,
        {ids["injury_id"]} AS injury_id,
        UNNEST(list_filter([
{structs}
        ], lambda found: found IS NOT NULL)) AS found
    FROM {relation}
    CROSS JOIN (
        SELECT
            {counts}
        FROM {relation}
    ) AS counted
) AS judged"""


def _struct(rule: Compiled, *, with_unknown: bool) -> str:
    # NOT of an unknown is unknown, so only what is certainly clear takes the first branch; what is found misses nothing
    # that anybody asks about.
    begins = f"NOT ({rule.verdict}) THEN NULL ELSE" if with_unknown else f"{rule.verdict} THEN"
    verdict, missing = (rule.verdict, rule.missing_columns) if with_unknown else ("TRUE", "NULL")
    return f"""\
            CASE WHEN {begins} {{
                'rule': '{rule.rule}',
                'verdict': CAST({verdict} AS BOOLEAN),
                'evidence': {rule.evidence},
                'missing_columns': CAST({missing} AS VARCHAR),
                'since_on': {rule.since_on},
                'could_apply': counted.n_{rule.rule}
            }} END"""


def _count(rule: Compiled) -> str:
    # Whom it may be true of for all that is known counts too: only what is certainly out of question does not.
    counted = "1" if rule.applies is None else f"CASE WHEN NOT ({rule.applies}) THEN NULL ELSE 1 END"
    return f"CAST(COUNT({counted}) AS INTEGER) AS n_{rule.rule}"


def _applies(rule: Rule, columns: Sequence[Any]) -> str | None:
    parts = []
    if rule.applies_to == "adult":
        parts.append("is_adult")
    if rule.applies_when is not None:
        parameters = dict(rule.parameters)
        statement = parse_statement(rule.applies_when, columns=columns, parameters=parameters)
        parts.append(f"({_sql(statement.tree, parameters)})")
    return " AND ".join(parts) or None


def _sql(tree: exp.Expression, parameters: Mapping[str, Decimal]) -> str:
    def fill(node: exp.Expression) -> exp.Expression:
        if isinstance(node, exp.Placeholder):
            return exp.Paren(this=exp.Literal.number(format(parameters[node.name], "f")))
        return node

    return tree.copy().transform(fill).sql(dialect="duckdb")


def _evidence(columns: Sequence[Any]) -> str:
    # A text and not JSON: JSON drops what is not known on one of the engines. One call for all columns, because every
    # call is looked up each time that a review begins.
    said = []
    for column in columns:
        text = f"CAST({column.name} AS VARCHAR)"
        if column.type == "number":
            text = f"REGEXP_REPLACE(CAST(CAST({column.name} AS DECIMAL(18, 4)) AS VARCHAR), '{TRAILING_ZEROS}', '')"
        said.append(f"'{'; ' if said else ''}{column.name} = ', COALESCE({text}, '{NOT_KNOWN}')")
    return f"CONCAT({', '.join(said)})"


def _missing(asked: Sequence[str], named: Sequence[str]) -> str:
    # First the columns whose absence the statement does not deal with itself; when those are all there, any it names.
    lists = list(dict.fromkeys(_absent(names) for names in (asked, named) if names))
    return lists[0] if len(lists) == 1 else f"COALESCE({', '.join(lists)})"


def _absent(names: Sequence[str]) -> str:
    tests = [f"CASE WHEN {name} IS NULL THEN '{name}' END" for name in names]
    return tests[0] if len(tests) == 1 else f"NULLIF(CONCAT_WS('; ', {', '.join(tests)}), '')"


def _since(rule: Rule, named: Sequence[Any]) -> str:
    # What the rule names comes first; a blank there falls back to the newest day of the evidence.
    days = [column.name for column in named if column.name.endswith("_on") and column.type == "date"]
    newest = days if len(days) < 2 else [f"GREATEST({', '.join(days)})"]
    parts = list(dict.fromkeys([*([rule.since_column] if rule.since_column else []), *newest]))
    if not parts:
        return "CAST(NULL AS DATE)"
    since = parts[0] if len(parts) == 1 else f"COALESCE({', '.join(parts)})"
    return f"CAST({since} AS DATE)"
