"""Which rule hides which: the pairs that files write, and all that follow from them."""

import graphlib
from collections.abc import Mapping, Sequence


def closure(pairs: Mapping[str, Sequence[str]]) -> list[tuple[str, str]]:
    """Every (rule, hidden rule) that `pairs` says or implies, sorted; a rule that is switched off hides nothing.

    graphlib.CycleError when a rule would hide itself in the end.
    """
    hidden: dict[str, set[str]] = {}
    for rule in graphlib.TopologicalSorter(pairs).static_order():
        hidden[rule] = set()
        for direct in pairs.get(rule, ()):
            hidden[rule] |= {direct} | hidden[direct]
    return sorted((rule, other) for rule in pairs for other in hidden[rule] if other in pairs)
