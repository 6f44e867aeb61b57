"""From TOML files to blocks: the shipped files, each replaced by the workspace's file of the same name."""

import datetime
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pipeline.errors import PolicyUnsound
from pipeline.policy.model import Block
from pipeline.policy.shapes import BASES, COMMON, SHAPES, TYPES, Shape

LOCAL_FILE = "local.toml"
FOREVER = datetime.date(2000, 1, 1)


@dataclass(frozen=True)
class PolicyFile:
    """One file by its name relative to the policy folder, and whether the workspace gave it."""

    name: str
    path: Path
    is_workspace: bool

    def unsound(self, what: str, *, block: str = "", todo: str) -> PolicyUnsound:
        """The error that names this file and block."""
        where = f"{'workspace ' if self.is_workspace else ''}policy/{self.name}"
        return PolicyUnsound(what=f"{where}{f', block {block}' if block else ''}: {what}.", todo=f"{todo}.")


def find_files(shipped: Path, override: Path | None) -> tuple[PolicyFile, ...]:
    """The files that make the policy, by name; PolicyUnsound for a workspace file that replaces nothing."""
    found = {name: PolicyFile(name, path, is_workspace=False) for name, path in _toml_files(shipped)}
    for name, path in _toml_files(override) if override and override.is_dir() else ():
        file = PolicyFile(name, path, is_workspace=True)
        known = name in found or name == LOCAL_FILE or _is_own_file(name)
        if not known:
            raise file.unsound("no policy file is called that", todo=f"Use one of: {', '.join(sorted(found))}")
        found[name] = file
    return tuple(found[name] for name in sorted(found))


def read_blocks(file: PolicyFile) -> list[Block]:
    """The blocks of one file, each key known and of the right type; PolicyUnsound names file and block otherwise."""
    content = _parse(file)
    signed = _signature(file, content)
    defaults = content.pop("defaults", {})
    if not isinstance(defaults, dict) or set(defaults) - (set(COMMON) - {"id"}):
        raise file.unsound("[defaults] may hold effective_from, basis and source", todo="Take the rest out")
    blocks = list(_switch_off(file, content.pop("switch_off", None), signed=signed))
    if file.name == LOCAL_FILE:
        # A workspace's own number needs no more than a name and an amount; that it is its own decision is plain.
        defaults = {"effective_from": FOREVER, "basis": "decision", "source": "Set by this service", **defaults}
    for kind, entries in content.items():
        shape = SHAPES.get(kind)
        if shape is None or not shape.allows_file(file.name):
            raise file.unsound(f"no block is called [[{kind}]] here", todo=f"Use {', '.join(_kinds_of(file.name))}")
        if not isinstance(entries, list):
            raise file.unsound(f"[{kind}] stands once", todo=f"Write [[{kind}]], with two brackets")
        for entry in entries:
            blocks.append(_block(file, kind, entry, defaults=defaults, signed=signed, position=len(blocks)))
    return blocks


def check_keys(file: PolicyFile, values: Mapping[str, Any], *, block: str, required: dict, optional: dict) -> None:
    """Refuse a key that is missing, unknown or of the wrong type."""
    known = {**required, **optional}
    for name in sorted(set(required) - set(values)):
        raise file.unsound(f"{name} is missing", block=block, todo=f"Add {name} = ({required[name]})")
    for name, value in values.items():
        if name not in known:
            raise file.unsound(f"the key {name} is not known", block=block, todo=f"Use {', '.join(sorted(known))}")
        if not TYPES[known[name]](value):
            raise file.unsound(f"{name} is not a {known[name]}", block=block, todo=f"Give {name} a {known[name]}")


def _toml_files(folder: Path) -> list[tuple[str, Path]]:
    return sorted((path.relative_to(folder).as_posix(), path) for path in folder.rglob("*.toml"))


def _is_own_file(name: str) -> bool:
    # Scales and rules are open sets: a service may add its own file to either folder.
    return name.count("/") == 1 and name.startswith(("scales/", "rules/"))


def _kinds_of(name: str) -> list[str]:
    return [f"[[{kind}]]" for kind, shape in SHAPES.items() if shape.allows_file(name)]


def _parse(file: PolicyFile) -> dict[str, Any]:
    try:
        return tomllib.loads(file.path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise file.unsound(f"not readable as TOML ({error})", todo="Mend the line it names") from None


def _signature(file: PolicyFile, content: dict[str, Any]) -> tuple[datetime.date | None, str]:
    day, role = content.pop("signed_off_on", ""), content.pop("signed_off_role", "")
    if not (day == "" or TYPES["day"](day)) or not isinstance(role, str):
        raise file.unsound("signed_off_on is a day and signed_off_role a text", todo="Write signed_off_on = 2026-01-31")
    return (day or None), role.strip()


def _switch_off(file: PolicyFile, entry: Any, *, signed: tuple) -> list[Block]:
    if entry is None:
        return []
    if file.name != LOCAL_FILE or not isinstance(entry, dict):
        raise file.unsound("[switch_off] does not belong here", todo=f"Put it into the workspace's policy/{LOCAL_FILE}")
    check_keys(
        file, entry, block="switch_off", required={"rules": "list of texts", "why": "text"},
        optional={"effective_from": "day"},
    )
    return [
        Block(
            kind="switch_off", id=rule, file=file.name, effective_from=entry.get("effective_from", FOREVER),
            basis="decision", source=entry["why"], signed_off_on=signed[0], signed_off_role=signed[1], values={},
            position=place, is_local=True,
        )
        for place, rule in enumerate(entry["rules"])
    ]


def _block(file: PolicyFile, kind: str, entry: Any, *, defaults: dict, signed: tuple, position: int) -> Block:
    shape: Shape = SHAPES[kind]
    if not isinstance(entry, dict):
        raise file.unsound(f"[[{kind}]] is not a table", todo="Write its keys below it, one a line")
    name = str(entry.get("id", f"{kind} number {position + 1}"))
    given = {key: value for key, value in defaults.items() if not shape.has_own_source or key == "effective_from"}
    values = {**given, **entry}
    check_keys(file, values, block=name, required={**COMMON, **shape.required}, optional=shape.optional)
    for key, words in {"basis": BASES, **shape.choices}.items():
        if key in values and values[key] not in words:
            raise file.unsound(f"{key} has an unknown word", block=name, todo=f"Use one of: {', '.join(words)}")
    return Block(
        kind=kind, id=values["id"], file=file.name, effective_from=values["effective_from"], basis=values["basis"],
        source=values["source"], signed_off_on=signed[0], signed_off_role=signed[1],
        values={key: value for key, value in values.items() if key not in COMMON}, position=position,
        is_local=file.name == LOCAL_FILE,
    )
