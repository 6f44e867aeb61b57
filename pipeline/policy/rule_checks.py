"""What must hold of rules: known names, no circle of hiding, and a statement that the grammar and the types accept."""

import graphlib
import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from pipeline.policy import subsumption
from pipeline.policy.model import Block, Policy
from pipeline.policy.reading import PolicyFile
from pipeline.policy.rule_grammar import Statement, StatementRefused, parse_statement
from pipeline.policy.shapes import SOFTENERS, TYPES

# A rule's id becomes a name in the compiled SQL.
RULE_ID = re.compile(r"[a-z][a-z0-9_]*")


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
    if not RULE_ID.fullmatch(block.id):
        raise file.unsound("the id is no plain word", block=block.id, todo="Use small letters, digits and _")
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
    _softening_known(block, file)
    _sentence_sound(block, file)


def _softening_known(block: Block, file: PolicyFile) -> None:
    softened_by = block.values.get("softened_by", ())
    for fact in (fact for fact in softened_by if fact not in SOFTENERS):
        raise file.unsound(f"nothing is softened by {fact}", block=block.id, todo=f"Use {', '.join(SOFTENERS)}")
    if softened_by and block.values.get("never_softened", False):
        raise file.unsound("it is never softened, and softened_by lists something", block=block.id, todo="Keep one")


def _sentence_sound(block: Block, file: PolicyFile) -> None:
    sentence, stays = block.values.get("service_sentence"), block.values.get("always_in_rows", False)
    if sentence is not None and stays:
        raise file.unsound("always_in_rows leaves no room for a service_sentence", block=block.id, todo="Keep one")
    if sentence is not None and (sentence.count("{n}"), sentence.count("{of}")) != (1, 1):
        raise file.unsound(
            "service_sentence needs {n} and {of}, once each", block=block.id,
            todo='Write it like "{n} of {of} powered surfaces have no plan"',
        )


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
    statement = _read(block, file, key="when", columns=columns, parameters=parameters)
    used = set(statement.parameters)
    if "applies_when" in values:
        used |= set(_read(block, file, key="applies_when", columns=columns, parameters=parameters).parameters)
    unused = sorted(set(parameters) - used)
    if unused:
        raise file.unsound(f"the parameter {unused[0]} is never used", block=block.id, todo="Take it out or use it")
    if values["clears"] not in statement.columns:
        raise file.unsound(
            f"clears names {values['clears']}, which `when` does not look at", block=block.id,
            todo=f"Use one of: {', '.join(statement.columns)}",
        )
    since = values.get("since")
    if since is not None and (since not in by_name or by_name[since].type != "date"):
        raise file.unsound(f"since names {since}, which is no day of its subject", block=block.id, todo="Name a day")
    if values.get("applies_to") == "adult" and "is_adult" not in by_name:
        raise file.unsound(
            "applies_to adult needs the column is_adult", block=block.id, todo="Take applies_to out for this subject"
        )


def _read(
    block: Block, file: PolicyFile, *, key: str, columns: Sequence[Any], parameters: Mapping[str, Decimal]
) -> Statement:
    try:
        return parse_statement(block.values[key], columns=columns, parameters=parameters)
    except StatementRefused as refusal:
        raise file.unsound(f"`{key}` cannot be used: {refusal}", block=block.id, todo=refusal.todo) from None
