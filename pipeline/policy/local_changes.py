"""What a workspace has set itself: a reader of an audit is told what is not as shipped, in policy.local_changes."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import pyarrow as pa

from pipeline.policy.shapes import SHAPES

if TYPE_CHECKING:
    from pipeline.policy.model import Block, Policy

TEXT = pa.string()
COLUMNS: dict[str, pa.DataType] = {
    "kind": TEXT, "block_id": TEXT, "change": TEXT, "label": TEXT, "was": TEXT, "now": TEXT, "why": TEXT,
}
# What a number is called is no part of the rule that declares it, and it is told by itself.
PARAMETER, OF_A_RULE = "parameter", "parameters"


def rows(policy: Policy, as_of: datetime.date) -> list[dict[str, Any]]:
    """One row for each block that is added, changed, left out or switched off, and for each number that differs."""
    shipped = policy.as_shipped()
    if shipped is policy:
        return []
    found = [
        {"kind": "rule", "block_id": block.id, "change": "switched_off", "label": _rule_title(policy, block.id, as_of),
         "why": block.source}
        for block in policy.switched_off(as_of)
    ]  # fmt: skip
    for kind in SHAPES:
        if kind != PARAMETER:
            found += _blocks(_by_id(shipped, kind, as_of), _by_id(policy, kind, as_of))
    before, after = shipped.parameters(as_of), policy.parameters(as_of)
    found += [
        {"kind": PARAMETER, "block_id": name, "change": "changed", "label": name.replace("_", " "),
         "was": f"{before[name].normalize():f}", "now": f"{amount.normalize():f}"}
        for name, amount in after.items() if name in before and amount != before[name]
    ]  # fmt: skip
    return found


def _by_id(policy: Policy, kind: str, as_of: datetime.date) -> dict[str, Block]:
    return {block.id: block for block in policy.in_force(kind, as_of)}


def _blocks(before: Mapping[str, Block], after: Mapping[str, Block]) -> list[dict[str, Any]]:
    found = []
    for name in sorted({*before, *after}):
        block = after.get(name) or before[name]
        if name not in before:
            change = "added"
        elif name not in after:
            change = "left_out"
        elif _content(before[name]) != _content(after[name]):
            change = "changed"
        else:
            continue
        found.append({"kind": block.kind, "block_id": name, "change": change, "label": _label(block)})
    return found


def _content(block: Block) -> dict[str, Any]:
    told = {name: value for name, value in block.values.items() if name != OF_A_RULE}
    return {**told, "effective_from": block.effective_from, "basis": block.basis, "source": block.source}


def _label(block: Block) -> str:
    return str(block.values.get("title") or block.values.get("label") or block.id.replace("_", " "))


def _rule_title(policy: Policy, rule: str, as_of: datetime.date) -> str:
    return _label(_by_id(policy, "rule", as_of)[rule])
