"""Load the policy and refuse one that is not sound, before anything is written."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from pipeline import resources
from pipeline.policy import checks, rule_checks
from pipeline.policy.model import Block, Policy
from pipeline.policy.reading import PolicyFile, find_files, read_blocks


def load(override_dir: Path | None = None, *, state_columns: Mapping[str, Sequence[Any]] | None = None) -> Policy:
    """The shipped policy, with each file that the workspace's policy folder holds in place of the shipped one.

    `state_columns` maps client, injury and loan to the columns of that subject's state relation (objects with name,
    type and codes); with it every rule's statement is read and typed too. PolicyUnsound names file, block and remedy.
    """
    files = {file.name: file for file in find_files(resources.policy_dir(), override_dir)}
    blocks: list[Block] = []
    for file in files.values():
        blocks.extend(read_blocks(file))
    policy = Policy(blocks=tuple(blocks), shipped=_as_shipped(blocks, files))
    checks.check(policy, files=files)
    rule_checks.check(policy, files=files, state_columns=state_columns)
    return policy


def _as_shipped(blocks: Sequence[Block], files: Mapping[str, PolicyFile]) -> tuple[Block, ...] | None:
    """The blocks that the shipped files alone would give; None where the workspace has no file of its own."""
    own = {name for name, file in files.items() if file.is_workspace}
    if not own:
        return None
    kept = [block for block in blocks if block.file not in own]
    for file in find_files(resources.policy_dir(), None):
        kept += read_blocks(file) if file.name in own else []
    return tuple(kept)
