"""One run at a time in a workspace, and a clean start after one that was killed."""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager

from pipeline import files
from pipeline.errors import WorkspaceBusy
from pipeline.settings import Workspace


@contextmanager
def only_run(workspace: Workspace) -> Iterator[None]:
    """Hold the workspace; raises WorkspaceBusy at once, without waiting, when another run has it.

    The kernel gives the lock back when the process ends, however it ends, so a killed run never blocks the next.
    """
    handle = os.open(workspace.lock, os.O_RDWR | os.O_CREAT, 0o644)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise WorkspaceBusy(
                what="Another run holds this workspace.",
                done="Nothing was read or written.",
                todo="Wait until it has ended and run again.",
            ) from None
        yield
    finally:
        os.close(handle)


def clean(workspace: Workspace) -> int:
    """Delete what a killed run left unfinished and return how many pieces that were. Call it under the lock only.

    The inbox and the policy overrides belong to other people and are not looked into.
    """
    unfinished = [entry for entry in sorted(workspace.root.iterdir()) if files.is_unfinished(entry)]
    for folder in (workspace.store, workspace.audits, workspace.logs):
        unfinished += files.leftovers(folder)
    for entry in unfinished:
        if entry.is_dir():
            files.remove_tree(entry)
        else:
            files.remove(entry)
    return len(unfinished)
