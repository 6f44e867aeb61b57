"""The loaded policy: blocks with the day from which each holds, and what they come to on a given day."""

import datetime
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pyarrow as pa

from pipeline.policy import scoring, tables
from pipeline.policy.shapes import FAMILIES


@dataclass(frozen=True)
class Block:
    """One block of a policy file. `values` holds the keys that its kind adds to the common ones."""

    kind: str
    id: str
    file: str
    effective_from: datetime.date
    basis: str
    source: str
    signed_off_on: datetime.date | None
    signed_off_role: str
    values: Mapping[str, Any]
    position: int
    is_local: bool = False

    def canonical(self) -> dict[str, Any]:
        """What the fingerprint is made of: everything that can change a page, and not where the block lies."""
        return {
            "kind": self.kind, "id": self.id, "effective_from": self.effective_from, "basis": self.basis,
            "source": self.source, "signed_off_on": self.signed_off_on, "signed_off_role": self.signed_off_role,
            "values": dict(self.values),
        }


@dataclass(frozen=True)
class Rule:
    """One statement about a client, an injury or a loan. `parameters` are already the amounts in force.

    clears: the column that a better answer would make it clear by. mends: the errand that would mend it. applies_when:
    whom it could be true of, None for every subject. service_sentence: what is said once when it is true of many of
    those, with {n} and {of} in it; None keeps it with the people.
    """

    rule: str
    about: str
    family: str
    when: str
    severity: str
    title: str
    consider: str
    basis: str
    source: str
    never_softened: bool
    since_column: str | None
    applies_to: str | None
    position: int
    parameters: tuple[tuple[str, Decimal], ...]
    subsumes: tuple[str, ...]
    file: str
    clears: str = ""
    mends: str = ""
    list_name: str = "people"
    softened_by: tuple[str, ...] = ()
    applies_when: str | None = None
    service_sentence: str | None = None
    always_in_rows: bool = True


@dataclass(frozen=True)
class Policy:
    """All blocks of all files, of every date; each question is asked of it with a day.

    `shipped` are the blocks as they would be without the workspace's files; None when there are no such files.
    """

    blocks: tuple[Block, ...]
    shipped: tuple[Block, ...] | None = None

    def as_shipped(self) -> "Policy":
        """The policy without anything that the workspace set itself."""
        return self if self.shipped is None else Policy(blocks=self.shipped)

    def in_force(self, kind: str, as_of: datetime.date) -> tuple[Block, ...]:
        """The newest block of each id of that kind with effective_from <= as_of, in the order of the files."""
        newest: dict[str, Block] = {}
        for block in self.blocks:
            if block.kind != kind or block.effective_from > as_of:
                continue
            held = newest.get(block.id)
            # A workspace's own number stands over the shipped one whatever their dates are.
            if held is None or (held.is_local, held.effective_from) < (block.is_local, block.effective_from):
                newest[block.id] = block
        return tuple(sorted(newest.values(), key=lambda block: (block.position, block.id)))

    def versions(self, kind: str, as_of: datetime.date) -> tuple[Block, ...]:
        """Every block of that kind with effective_from <= as_of, superseded ones too, by id and date."""
        found = [block for block in self.blocks if block.kind == kind and block.effective_from <= as_of]
        return tuple(sorted(found, key=lambda block: (block.id, block.effective_from)))

    def parameters(self, as_of: datetime.date) -> dict[str, Decimal]:
        """Name to amount: single numbers, and the ones that rules declare, each as the workspace may have set it."""
        amounts = {}
        for block in self.in_force("rule", as_of):
            amounts.update({name: _decimal(amount) for name, amount in block.values.get("parameters", {}).items()})
        amounts.update({block.id: _decimal(block.values["amount"]) for block in self.in_force("parameter", as_of)})
        return dict(sorted(amounts.items()))

    def switched_off(self, as_of: datetime.date) -> tuple[Block, ...]:
        """The blocks by which the workspace has switched rules off; each id is a rule's."""
        return self.in_force("switch_off", as_of)

    def rules(self, as_of: datetime.date) -> tuple[Rule, ...]:
        """The rules in force and not switched off, by family and then as their file lists them."""
        amounts = self.parameters(as_of)
        off = {block.id for block in self.switched_off(as_of)}
        blocks = [block for block in self.in_force("rule", as_of) if block.id not in off]
        blocks.sort(key=lambda block: (FAMILIES.index(block.values["family"]), block.position, block.id))
        return tuple(_rule(block, position=place, amounts=amounts) for place, block in enumerate(blocks, start=1))

    def scale_items(self) -> dict[str, dict[str, tuple[Decimal, ...]]]:
        """{scale: {item: its allowed scores}} over all versions: intake judges a row before its day counts."""
        found: dict[str, dict[str, tuple[Decimal, ...]]] = {}
        for block in self.versions("scale", datetime.date.max):
            items = found.setdefault(block.id, {})
            for item in block.values["items"]:
                scores = {*items.get(item["item"], ()), *scoring.scores(item)}
                items[item["item"]] = tuple(sorted(scores))
        return found

    def unsigned(self, as_of: datetime.date) -> tuple[str, ...]:
        """The files that hold a block in force which no clinical lead has signed off, sorted."""
        held = [block for block in self.blocks if block.effective_from <= as_of]
        return tuple(sorted({block.file for block in held if block.signed_off_on is None or not block.signed_off_role}))

    def fingerprint(self, as_of: datetime.date) -> str:
        """sha256 (64 hex) of the canonical JSON of all blocks with effective_from <= as_of, whatever the files."""
        held = [block.canonical() for block in self.blocks if block.effective_from <= as_of]
        held.sort(key=lambda block: (block["kind"], block["id"], block["effective_from"]))
        text = json.dumps(held, sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=str)
        return hashlib.sha256(text.encode()).hexdigest()

    def tables(self, as_of: datetime.date) -> dict[str, pa.Table]:
        """Every `policy.*` relation as it holds on that day, by name without the schema."""
        return tables.build(self, as_of)


def _decimal(amount: float | int) -> Decimal:
    # Through text, so that 0.2 in a file is 0.2 and not the nearest binary fraction.
    return Decimal(str(amount))


def _rule(block: Block, *, position: int, amounts: Mapping[str, Decimal]) -> Rule:
    values = block.values
    return Rule(
        rule=block.id,
        about=values["about"],
        family=values["family"],
        when=values["when"],
        severity=values["severity"],
        title=values["title"],
        consider=values["consider"],
        basis=block.basis,
        source=block.source,
        never_softened=values.get("never_softened", False),
        since_column=values.get("since"),
        applies_to=values.get("applies_to"),
        position=position,
        parameters=tuple((name, amounts[name]) for name in sorted(values.get("parameters", {}))),
        subsumes=tuple(values.get("subsumes", ())),
        file=block.file,
        clears=values["clears"],
        mends=values.get("mends", block.id),
        list_name=values.get("list", "people"),
        softened_by=tuple(values.get("softened_by", ())),
        applies_when=values.get("applies_when"),
        service_sentence=values.get("service_sentence"),
        always_in_rows="service_sentence" not in values,
    )
