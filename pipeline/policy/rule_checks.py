"""What must hold of rules: known names, no circle of hiding, and a statement that the grammar and the types accept."""

import graphlib
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from pipeline.policy import subsumption
from pipeline.policy.model import Block, Policy
from pipeline.policy.reading import PolicyFile
from pipeline.policy.rule_grammar import StatementRefused, parse_statement
from pipeline.policy.shapes import TYPES


def check(
    policy: Policy, *, files: Mapping[str, PolicyFile], state_columns: Mapping[str, Sequence[Any]] | None
) -> None:
    """PolicyUnsound for the first rule that names something unknown, hides in a circle, or cannot be read."""
    rules = [block for block in policy.blocks if block.kind == "rule"]
    known = {block.id for block in rules}
    severities = {block.id for block in policy.blocks if block.kind == "severity"}
    for block in rules:
        _names_known(block, files[block.file], rules=known, severities=severities)
    _no_circle(rules, files)
    for block in (block for block in policy.blocks if block.kind == "switch_off" and block.id not in known):
        raise files[block.file].unsound(
            f"[switch_off] names {block.id}, and no rule is called that", todo="Mend the name or take it out"
        )
    if state_columns is not None:
        for block in rules:
            _statement_sound(block, files[block.file], columns=state_columns[block.values["about"]])


def _names_known(block: Block, file: PolicyFile, *, rules: set[str], severities: set[str]) -> None:
    values = block.values
    if values["severity"] not in severities:
        raise file.unsound("severity is not known", block=block.id, todo=f"Use one of: {', '.join(sorted(severities))}")
    for other in values.get("subsumes", ()):
        if other not in rules:
            raise file.unsound(f"it subsumes {other}, and no rule is called that", block=block.id, todo="Mend the name")
    if values["family"] == "safety" and not values.get("never_softened", False):
        raise file.unsound(
            "a rule of the safety family can be softened", block=block.id, todo="Add never_softened = true"
        )
    for name, amount in values.get("parameters", {}).items():
        if not TYPES["number"](amount):
            raise file.unsound(f"the parameter {name} is no number", block=block.id, todo="Give it a number")


def _no_circle(rules: Sequence[Block], files: Mapping[str, PolicyFile]) -> None:
    pairs: dict[str, set[str]] = {}
    for block in rules:
        pairs.setdefault(block.id, set()).update(block.values.get("subsumes", ()))
    try:
        subsumption.closure({rule: sorted(others) for rule, others in pairs.items()})
    except graphlib.CycleError as error:
        circle = error.args[1]
        block = next(block for block in rules if block.id == circle[0])
        raise files[block.file].unsound(
            f"rules hide each other in a circle ({' - '.join(circle)})", block=block.id,
            todo="Take one of these subsumes out",
        ) from None


def _statement_sound(block: Block, file: PolicyFile, *, columns: Sequence[Any]) -> None:
    by_name = {column.name: column for column in columns}
    values = block.values
    parameters = {name: Decimal(str(amount)) for name, amount in values.get("parameters", {}).items()}
    try:
        statement = parse_statement(values["when"], columns=columns, parameters=parameters)
    except StatementRefused as refusal:
        raise file.unsound(f"`when` cannot be used: {refusal}", block=block.id, todo=refusal.todo) from None
    unused = sorted(set(parameters) - set(statement.parameters))
    if unused:
        raise file.unsound(f"the parameter {unused[0]} is never used", block=block.id, todo="Take it out or use it")
    since = values.get("since")
    if since is not None and (since not in by_name or by_name[since].type != "date"):
        raise file.unsound(f"since names {since}, which is no day of its subject", block=block.id, todo="Name a day")
    if values.get("applies_to") == "adult" and "is_adult" not in by_name:
        raise file.unsound(
            "applies_to adult needs the column is_adult", block=block.id, todo="Take applies_to out for this subject"
        )
