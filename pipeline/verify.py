"""Is everything as it was published? Store against receipts, warehouse against its sum, pages against manifests."""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from pipeline import run_record, warehouse
from pipeline.errors import VerifyFoundChange
from pipeline.feeds.store_layout import (
    Arrival,
    Receipt,
    Refusal,
    accepted_path,
    arrival_path,
    held_path,
    receipt_path,
    refusal_path,
    roll_call,
)
from pipeline.log import Progress
from pipeline.settings import Workspace


@dataclass(frozen=True)
class Verified:
    """How many files were compared, and the fingerprint over what the warehouse holds (64 hex).

    Two warehouses with the same fingerprint hold the same rows in the same relations; their files may still differ.
    """

    compared: int
    content: str


def verify(workspace: Workspace, *, progress: Progress) -> Verified:
    """Compare everything that was published with its sums, and read the whole warehouse once.

    Raises VerifyFoundChange that names every file which is changed, missing or new. Reads only.
    """
    changed: list[str] = []
    compared = 0
    parts = (_store(workspace), _papers(workspace), _warehouse(workspace), _pages(workspace))
    steps = len(parts) + 1
    for done, part in enumerate(parts, start=1):
        for name, is_same in part:
            compared += 1
            if not is_same:
                changed.append(name)
        progress("verify", done, steps)
    if changed:
        raise VerifyFoundChange(
            what=f"Not as published: {'; '.join(changed)}.",
            size=f"{len(changed)} of {compared} differ.",
            done="Nothing was changed.",
            todo="Ask who changed them. `caseround review` makes the warehouse again, and `caseround report` the pages "
            "once the changed folder is deleted; a store comes back from a backup only.",
        )
    with warehouse.reading(workspace.warehouse) as con:
        content, _ = warehouse.manifest(con)
    progress("verify", steps, steps)
    return Verified(compared=compared, content=content)


def _store(workspace: Workspace) -> Iterator[tuple[str, bool]]:
    for path in sorted(workspace.store.glob("receipts/*.json")):
        try:
            receipt = Receipt.from_json(path.read_bytes())
        except (ValueError, TypeError, AttributeError):
            yield _relative(workspace, path), False
            continue
        is_own = path == receipt_path(workspace.store, receipt.file_key)
        yield _relative(workspace, path), is_own and path.read_bytes() == receipt.sealed().to_json()
        accepted = accepted_path(workspace.store, feed=receipt.feed, key=receipt.file_key)
        held = held_path(workspace.store, feed=receipt.feed, key=receipt.file_key)
        yield _relative(workspace, accepted), _has_sum(accepted, receipt.accepted_sha256)
        yield _relative(workspace, held), _has_sum(held, receipt.held_sha256)


def _papers(workspace: Workspace) -> Iterator[tuple[str, bool]]:
    """Arrivals and refusals one by one, and of every folder of papers whether one is gone or new."""
    changed = set()
    for folder, kind, path_of in (("arrivals", Arrival, arrival_path), ("refused", Refusal, refusal_path)):
        for path in sorted(workspace.store.glob(f"{folder}/*.json")):
            is_same = _is_as_written(path, kind, path_of=partial(path_of, workspace.store))
            changed |= set() if is_same else {folder}
            yield _relative(workspace, path), is_same
    published = run_record.read(workspace.last_run).get("published", {})
    for name, found in roll_call(workspace.store).items():
        folder = name.removesuffix("_sha256")
        # A paper that is named already makes the folder differ too, and one fault is told once.
        yield f"store/{folder} (a file is gone or new)", folder in changed or found == published.get(name)


def _is_as_written(path: Path, kind: type[Arrival | Refusal], *, path_of: Callable[[Any], Path]) -> bool:
    content = path.read_bytes()
    try:
        record = kind.from_json(content)
        written = record if isinstance(record, Arrival) else record.sealed()
        return path == path_of(record) and content == written.to_json()
    except (ValueError, TypeError, AttributeError):
        return False


def _warehouse(workspace: Workspace) -> Iterator[tuple[str, bool]]:
    published = run_record.read(workspace.last_run).get("published", {})
    yield workspace.warehouse.name, _has_sum(workspace.warehouse, published.get("warehouse_sha256"))


def _pages(workspace: Workspace) -> Iterator[tuple[str, bool]]:
    index = workspace.audits / "index.html"
    if index.is_file():
        wanted = run_record.read(workspace.last_run).get("published", {}).get("index_sha256")
        yield "audits/index.html", _has_sum(index, wanted)
    for manifest in sorted(workspace.audits.glob("*/*/manifest.json")):
        said = _json(manifest)
        yield _relative(workspace, manifest), said is not None and isinstance(said.get("pages"), dict)
        folder = manifest.parent
        pages = (said or {}).get("pages") or {}
        for name, wanted in sorted(pages.items()):
            yield _relative(workspace, folder / name), _has_sum(folder / name, wanted)
        for path in sorted(folder.rglob("*")):
            name = path.relative_to(folder).as_posix()
            if path.is_file() and name != manifest.name and name not in pages:
                yield f"{_relative(workspace, path)} (not published by a run)", False


def _json(path: Path) -> dict[str, Any] | None:
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return content if isinstance(content, dict) else None


def _has_sum(path: Path, wanted: str | None) -> bool:
    return path.is_file() and run_record.sha256_of(path) == wanted


def _relative(workspace: Workspace, path: Path) -> str:
    return path.relative_to(workspace.root).as_posix()
