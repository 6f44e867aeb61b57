"""Kills a command before and after every counted call to the disk, and says what a second run makes of the rest.

Run as a program of its own, `python -m tests.faults.kill_points WORKSPACE SCRATCH COMMAND...`: it imports everything
once and then forks for each kill, which is safe only while no thread pool has been started. Prints one JSON object:
`undisturbed` and, for each kill, `call`, `moment` and `after`, each with the state of the workspace.
"""

import hashlib
import json
import os
import shutil
import signal
import sys
from collections.abc import Callable
from pathlib import Path

from pipeline import files, jobs, run_record
from pipeline.cli import main

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


def counted(words: list[str], workspace: Path, told: Path) -> int:
    """Run and write down every call, in order."""
    calls: list[list[str]] = []
    files.on_call = lambda name, moment: calls.append([name, moment])
    code = command(words, workspace)
    told.write_text(json.dumps(calls))
    return code


def killed(words: list[str], workspace: Path, at: int) -> int:
    """Run until call number `at`, and die there as in a power cut."""
    left = iter(range(at, -1, -1))

    def die(name: str, moment: str) -> None:
        if next(left) == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    files.on_call = die
    return command(words, workspace)


def state(workspace: Path) -> dict[str, object]:
    """What a reader can see, and the warehouse's fingerprint over its content."""
    sums = {}
    for part in SEEN_BY_READERS:
        for path in sorted((workspace / part).rglob("*")):
            if path.is_file():
                sums[path.relative_to(workspace).as_posix()] = hashlib.sha256(path.read_bytes()).hexdigest()
    published = run_record.read(workspace / "last_run.json").get("published", {})
    unfinished = [path.name for path in files.leftovers(workspace)]
    return {"files": sums, "manifest": published.get("warehouse_manifest"), "unfinished": unfinished}


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
    outcome: dict[str, object] = {"exit": code, "undisturbed": state(there), "kills": []}
    for at, (name, moment) in enumerate(json.loads(told.read_text())):
        there = copy_of(workspace, scratch)
        died = in_child(lambda there=there, at=at: killed(words, there, at))
        again = in_child(lambda there=there: command(words, there))
        kill = {"call": name, "moment": moment, "at": at, "died": died, "again": again, "after": state(there)}
        outcome["kills"].append(kill)
    return outcome


if __name__ == "__main__":
    assert jobs.run, "everything is imported before the first fork"
    print(json.dumps(all_kills(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3:])))
