"""Which files lie in the inbox and which feed each one is; headings never decide that."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pipeline.feeds.columns import FEEDS
from pipeline.settings import Source, Workspace

NO_SOURCE = "default"
_UNFINISHED = (".part", ".tmp")


@dataclass(frozen=True)
class Found:
    """A file of the inbox. `name` is its path below inbox/ with forward slashes; `feed` is None when nothing tells it.

    `source` is the block of caseround.toml whose glob fits, else None.
    """

    path: Path
    name: str
    feed: str | None
    source: Source | None

    @property
    def source_name(self) -> str:
        return self.source.name if self.source else NO_SOURCE


def find_files(workspace: Workspace) -> tuple[Found, ...]:
    """Every file of the inbox that intake should look at, by name."""
    if not workspace.inbox.is_dir():
        return ()
    found = []
    for path in workspace.inbox.rglob("*"):
        name = path.relative_to(workspace.inbox).as_posix()
        if path.is_file() and not any(_is_left_alone(part) for part in name.split("/")):
            found.append(_found(path, name, workspace.sources))
    return tuple(sorted(found, key=lambda file: file.name))


def _is_left_alone(name: str) -> bool:
    stem = name.lower().split(".")[0]
    return name.startswith((".", "~$")) or name.lower().endswith(_UNFINISHED) or stem == "readme"


def _found(path: Path, name: str, sources: tuple[Source, ...]) -> Found:
    source = next((source for source in sources if source.fits(name)), None)
    return Found(path, name, source.feed if source else feed_of(name), source)


def feed_of(name: str) -> str | None:
    """The feed of a path below inbox/ by its folder, else by how the file's name starts; None when neither tells."""
    folder, _, file_name = name.rpartition("/")
    first = folder.split("/")[0]
    if first in FEEDS:
        return first
    for feed in FEEDS:
        rest = file_name.removeprefix(feed)
        if file_name.startswith(feed) and (not rest or rest[0] in "_-." or rest[0] in "0123456789"):
            return feed
    return None
