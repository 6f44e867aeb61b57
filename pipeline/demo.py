"""The demonstration workspace: the sample caseload, dropped into an inbox week by week."""

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, time
from pathlib import Path

from pipeline import files, resources
from pipeline.errors import SettingsUnsound
from pipeline.settings import FILE_NAME, write_settings


def prepare(root: Path) -> None:
    """Make the workspace, or check that it is one that the demonstration made.

    Raises SettingsUnsound when the inbox holds anything else: invented people must never mix with a service's own.
    """
    inbox = root / "inbox"
    strangers = sorted(entry.name for entry in inbox.iterdir()) if inbox.is_dir() else []
    strangers = [name for name in strangers if name not in {drop.name for drop in _drops()}]
    if strangers:
        raise SettingsUnsound(
            what=f"{root} has exports of its own in inbox/.",
            size=f"{len(strangers)} of them are not the sample caseload's.",
            done="Nothing was copied.",
            todo="Name another folder with --workspace.",
        )
    files.make_dir(inbox)
    shipped = resources.sample_dir() / FILE_NAME
    if shipped.is_file() and not (root / FILE_NAME).exists():
        files.write_atomically(root / FILE_NAME, shipped.read_bytes())
    write_settings(root)


def weekly_drops(root: Path) -> Iterator[tuple[datetime, int, int]]:
    """Copy one week's exports after the other into the inbox; yields (received at, which, of how many) after each.

    A file that is there already is left alone, so that a second demonstration takes nothing in.
    """
    drops = _drops()
    for which, drop in enumerate(drops, start=1):
        for source in sorted(path for path in drop.rglob("*") if path.is_file()):
            target = root / "inbox" / drop.name / source.relative_to(drop)
            if not target.exists():
                files.make_dir(target.parent)
                unfinished = files.temporary_name(target)
                shutil.copyfile(source, unfinished)
                files.replace(unfinished, target)
        yield _received_at(drop), which, len(drops)


def _drops() -> list[Path]:
    folder = resources.sample_dir() / "drops"
    return sorted(path for path in folder.iterdir() if path.is_dir()) if folder.is_dir() else []


def _received_at(drop: Path) -> datetime:
    # The sample's exports come on Monday mornings; what matters is that the moment is the same in each demonstration.
    return datetime.combine(datetime.fromisoformat(drop.name).date(), time(6), tzinfo=UTC)
