"""Kills a command before and after every counted call to the disk, and says what a second run makes of the rest.

Run as a program of its own, `python -m tests.faults.kill_points WORKSPACE SCRATCH COMMAND...`: it imports everything
once and then forks for each kill, which is safe only while no thread pool has been started. Two neighbouring moments
between which nothing on the disk changed are one kill: what a second run finds is the same. Prints one JSON object:
`moments` (how many there were), `undisturbed`, and for each kill `call`, `moment` and the state `after` a second run.
"""

import hashlib
import json
import os
import shutil
import signal
import sys
from collections.abc import Callable
from pathlib import Path

import pandas
import pandera.pandas as pandera

from pipeline import files, jobs, warehouse
from pipeline.cli import main
from pipeline.intake import taking

SEEN_BY_READERS = ("store", "audits")


def in_child(act: Callable[[], int]) -> int:
    """Run in a forked child; its exit code, or minus the signal that ended it."""
    child = os.fork()
    if child == 0:
        try:
            code = act()
        except BaseException:
            code = 99
        os._exit(code)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status)


def command(words: list[str], workspace: Path) -> int:
    """Run one caseround command silently and return its exit code."""
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    try:
        main([*words, "--workspace", str(workspace)])
    except SystemExit as ended:
        return int(ended.code or 0)
    return 0


def on_disk(workspace: Path) -> str:
    """One word for everything that lies in the workspace but its log, by name, size and time."""
    there = sorted(path for path in workspace.rglob("*") if path.is_file() and path.parent.name != "logs")
    stats = [(path.as_posix(), path.stat()) for path in there]
    return hashlib.sha256(repr([(name, s.st_size, s.st_mtime_ns, s.st_ino) for name, s in stats]).encode()).hexdigest()


def counted(words: list[str], workspace: Path, told: Path) -> int:
    """Run and write down every call, in order, with what lay on the disk then."""
    calls: list[tuple[str, str, str]] = []
    files.on_call = lambda name, moment: calls.append((name, moment, on_disk(workspace)))
    code = command(words, workspace)
    told.write_text(json.dumps(calls))
    return code


def moments_to_kill(calls: list[list[str]]) -> list[int]:
    """The first and the last moment, and each at which the disk differs from the moment before."""
    changed = [at for at in range(1, len(calls)) if calls[at][2] != calls[at - 1][2]]
    return sorted({0, *changed, len(calls) - 1})


def killed(words: list[str], workspace: Path, at: int) -> int:
    """Run until call number `at`, and die there as in a power cut."""
    left = iter(range(at, -1, -1))

    def die(name: str, moment: str) -> None:
        if next(left) == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    files.on_call = die
    return command(words, workspace)


def content_of(workspace: Path, told: Path) -> int:
    """Write down the fingerprint over what the warehouse holds; none where there is no warehouse."""
    path = workspace / "warehouse.duckdb"
    told.write_text(warehouse.manifest(warehouse.open_readonly(path))[0] if path.exists() else "")
    return 0


def state(workspace: Path) -> dict[str, object]:
    """What a reader can see, and the warehouse's fingerprint over its content."""
    told = workspace.with_name("content")
    # In a child, as everything else that starts threads.
    assert in_child(lambda: content_of(workspace, told)) == 0
    sums = {}
    for part in SEEN_BY_READERS:
        for path in sorted((workspace / part).rglob("*")):
            if path.is_file():
                sums[path.relative_to(workspace).as_posix()] = hashlib.sha256(path.read_bytes()).hexdigest()
    unfinished = [path.name for path in files.leftovers(workspace)]
    return {"files": sums, "content": told.read_text(), "unfinished": unfinished}


def copy_of(workspace: Path, scratch: Path) -> Path:
    """A fresh copy with the same file times: a new time would be a new arrival."""
    there = scratch / "workspace"
    shutil.rmtree(there, ignore_errors=True)
    shutil.copytree(workspace, there, copy_function=shutil.copy2)
    return there


def all_kills(workspace: Path, scratch: Path, words: list[str]) -> dict[str, object]:
    """Kill at each call in turn, run again, and collect the states."""
    there = copy_of(workspace, scratch)
    told = scratch / "calls.json"
    code = in_child(lambda: counted(words, there, told))
    calls = json.loads(told.read_text())
    outcome: dict[str, object] = {"exit": code, "moments": len(calls), "undisturbed": state(there), "kills": []}
    for at in moments_to_kill(calls):
        name, moment, _ = calls[at]
        there = copy_of(workspace, scratch)
        died = in_child(lambda there=there, at=at: killed(words, there, at))
        again = in_child(lambda there=there: command(words, there))
        kill = {"call": name, "moment": moment, "at": at, "died": died, "again": again, "after": state(there)}
        outcome["kills"].append(kill)
    return outcome


def warm_up() -> None:
    """Import before the first fork what a command imports on its way, so that no child has to."""
    columns = pandas.DataFrame({"client_id": pandas.Series(["C-1"], dtype="str")})
    pandera.DataFrameSchema({"client_id": pandera.Column(nullable=True)}).validate(columns, lazy=True)
    assert jobs.run
    assert taking.take_in


if __name__ == "__main__":
    warm_up()
    print(json.dumps(all_kills(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3:])))
