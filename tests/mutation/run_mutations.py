"""Plant every small fault in turn and list those that no case notices.

    python -m tests.mutation.run_mutations                    every SQL file
    python -m tests.mutation.run_mutations risk.scores fit.   relations whose name starts so
    python -m tests.mutation.run_mutations --policy scales/   the policy instead, or files of it
    python -m tests.mutation.run_mutations --all              survivors that survivors.md explains too
    python -m tests.mutation.run_mutations --every 10         one in ten

Exit code 1 when a survivor is not explained.
"""

import argparse
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

from tests.models.cases import shared_world
from tests.mutation.killing import bounded, policy_mutants_of, sql_mutants_of, survives_policy, survives_sql
from tests.mutation.sql_mutants import Mutant

EXPLAINED = Path(__file__).with_name("survivors.md")


def explained() -> dict[str, str]:
    """Mutant id to why it can change no row; a row of survivors.md is `| id | why |`."""
    rows = [line.split("|") for line in EXPLAINED.read_text(encoding="utf-8").splitlines() if "/" in line]
    return {cells[1].strip(" `"): cells[2].strip() for cells in rows if len(cells) == 4 and cells[2].strip()}


def survivors(mutants: list[Mutant], survives: Callable[[Mutant], bool]) -> Iterator[Mutant]:
    """The mutants that no case notices, in the order given."""
    for place, mutant in enumerate(mutants, start=1):
        if sys.stderr.isatty():
            print(f"\r{place} of {len(mutants)} {mutant.relation:40}", end="", file=sys.stderr)
        if survives(mutant):
            yield mutant


def main(words: list[str]) -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("names", nargs="*")
    parser.add_argument("--policy", action="store_true")
    parser.add_argument("--all", action="store_true")
    parser.add_argument("--every", type=int, default=1)
    asked = parser.parse_args(words)
    world = bounded(shared_world())
    found = list(policy_mutants_of(asked.names) if asked.policy else sql_mutants_of(asked.names))[:: asked.every]
    with tempfile.TemporaryDirectory() as folder:
        if asked.policy:
            alive = list(survivors(found, lambda mutant: survives_policy(world, mutant, Path(folder) / "policy")))
        else:
            alive = list(survivors(found, lambda mutant: survives_sql(world, mutant)))
    known = explained()
    new = [mutant for mutant in alive if mutant.id not in known]
    _print_table(found, alive, alive if asked.all else new)
    return 1 if new else 0


def _print_table(planted: list[Mutant], alive: list[Mutant], shown: list[Mutant]) -> None:
    total, left = Counter(mutant.relation for mutant in planted), Counter(mutant.relation for mutant in alive)
    print(f"{'relation':40} {'planted':>8} {'noticed':>8} {'survived':>9}")
    for relation, count in sorted(total.items()):
        print(f"{relation:40} {count:8} {count - left[relation]:8} {left[relation]:9}")
    print(f"{'all':40} {len(planted):8} {len(planted) - len(alive):8} {len(alive):9}\n")
    for mutant in shown:
        print(f"{mutant.path.name}:{mutant.line}: {mutant.what}   [{mutant.id}]")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
