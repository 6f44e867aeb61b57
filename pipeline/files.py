"""The only place that renames, syncs or deletes.

A run may be killed at any instant. That is safe only if each change to the disk is one atomic step after the bytes are
known to be there, so these steps live in one module where a test can count them and stop the process before or after
each. Everything that is not finished carries a name from `temporary_name`, which `leftovers` finds again.
"""

import os
import shutil
from collections.abc import Callable, Iterator
from functools import wraps
from pathlib import Path
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")

# A fault test puts a function here; it is told the name of each call and the moment, "before" or "after".
on_call: Callable[[str, str], None] | None = None


def _counted(act: Callable[P, R]) -> Callable[P, R]:
    @wraps(act)
    def told(*args: P.args, **kwargs: P.kwargs) -> R:
        if on_call is not None:
            on_call(act.__name__, "before")
        result = act(*args, **kwargs)
        if on_call is not None:
            on_call(act.__name__, "after")
        return result

    return told


def temporary_name(path: Path) -> Path:
    """Where to build what will later be renamed to `path`: same folder, so that the rename is atomic."""
    return path.with_name(f".{path.name}.tmp")


def is_unfinished(path: Path) -> bool:
    """Does the name say that the thing was never finished?

    DuckDB puts its log beside an unfinished database, so a suffix may follow the mark.
    """
    return path.name.startswith(".") and (path.name.endswith(".tmp") or ".tmp." in path.name)


def leftovers(folder: Path) -> Iterator[Path]:
    """Unfinished files and folders directly or deeper under `folder`, in name order.

    Only under the workspace lock may they be taken for rubbish: without it they may be another run's work.
    """
    if not folder.is_dir():
        return
    for entry in sorted(folder.iterdir()):
        if is_unfinished(entry):
            yield entry
        elif entry.is_dir() and not entry.is_symlink():
            yield from leftovers(entry)


@_counted
def make_dir(path: Path) -> None:
    """Make a folder and those above it; one that exists is fine."""
    path.mkdir(parents=True, exist_ok=True)


@_counted
def fsync_file(path: Path) -> None:
    """Ask the disk to keep the bytes of a finished file."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@_counted
def fsync_dir(path: Path) -> None:
    """Ask the disk to keep a folder's entries: a rename is lost in a power cut until its folder is synced."""
    handle = os.open(path, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@_counted
def replace(src: Path, dst: Path) -> None:
    """Move a finished file to its public name; readers see the old file or the new one, never a part."""
    fsync_file(src)
    os.replace(src, dst)
    fsync_dir(dst.parent)


@_counted
def write_atomically(path: Path, content: bytes, *, mode: int = 0o666) -> None:
    """Write a whole file under its public name in one step; `mode` is what the umask then narrows."""
    unfinished = temporary_name(path)
    unfinished.unlink(missing_ok=True)
    handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
    with open(handle, "wb") as out:
        out.write(content)
    replace(unfinished, path)


@_counted
def rename_new(src_dir: Path, dst_dir: Path) -> None:
    """Move a finished folder to a name that must not exist yet.

    Raises FileExistsError if it does: published folders are never written over.
    """
    if dst_dir.exists():
        raise FileExistsError(dst_dir)
    for entry in sorted(src_dir.rglob("*")):
        if entry.is_dir():
            fsync_dir(entry)
        else:
            fsync_file(entry)
    fsync_dir(src_dir)
    os.rename(src_dir, dst_dir)
    fsync_dir(dst_dir.parent)


@_counted
def remove(path: Path) -> None:
    """Delete a file; one that is already gone is fine."""
    path.unlink(missing_ok=True)


@_counted
def remove_tree(path: Path) -> None:
    """Delete a folder with everything in it; one that is already gone is fine."""
    if path.exists():
        shutil.rmtree(path)
