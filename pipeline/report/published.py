"""Puts finished pages where readers find them, and lists the audits that are there."""

import hashlib
import json
from pathlib import Path
from typing import Any

from pipeline import files

MANIFEST = "manifest.json"
Pages = dict[str, bytes]


def publish(audits: Path, folder: Path, *, pages: Pages, facts: dict[str, Any]) -> Path:
    """Put one audit's pages under `audits/folder`, whole or not at all, and return where they are.

    Pages that are there already with the same bytes are left alone; if they differ, the next free name ending in -2, -3
    and so on is taken, because a page that somebody may have printed is never changed. `facts`: what the list of audits
    says of this one; it goes into the manifest, so that no page is ever read back.
    """
    contents = {**pages, MANIFEST: _manifest(pages, facts)}
    wanted = audits / folder
    version = 1
    while (there := _with_version(wanted, version)).exists():
        if _same(there, contents):
            return there
        version += 1
    aside = files.temporary_name(wanted)
    files.make_dir(there.parent)
    files.remove_tree(aside)
    files.make_dir(aside)
    for name, content in sorted(contents.items()):
        page = aside / name
        page.parent.mkdir(parents=True, exist_ok=True)
        page.write_bytes(content)
    files.rename_new(aside, there)
    return there


def published_audits(audits: Path) -> list[dict[str, Any]]:
    """What each audit's manifest says, newest first, with `folder` (below audits/) and `version` added.

    The order is by as-of day, then by what was known, then by version: nothing of it comes from the file system.
    """
    found = []
    for manifest in sorted(audits.glob(f"*/*/{MANIFEST}")):
        if manifest.parent.name.startswith("."):
            continue
        facts = json.loads(manifest.read_text(encoding="utf-8"))
        _, _, version = manifest.parent.name.partition("-")
        place = manifest.parent.relative_to(audits).as_posix()
        found.append({**facts, "folder": place, "version": int(version or 1)})
    return sorted(found, key=lambda audit: (audit["as_of"], audit["known_at"], audit["version"]), reverse=True)


def _manifest(pages: Pages, facts: dict[str, Any]) -> bytes:
    sums = {name: hashlib.sha256(content).hexdigest() for name, content in sorted(pages.items())}
    return (json.dumps({**facts, "pages": sums}, indent=2, sort_keys=True, ensure_ascii=False) + "\n").encode()


def _same(folder: Path, contents: Pages) -> bool:
    there = {page.relative_to(folder).as_posix() for page in folder.rglob("*") if page.is_file()}
    return there == set(contents) and all((folder / name).read_bytes() == what for name, what in contents.items())


def _with_version(folder: Path, version: int) -> Path:
    return folder if version == 1 else folder.with_name(f"{folder.name}-{version}")
