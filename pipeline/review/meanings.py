"""What the relations mean that Python loads: the comments that a SELECT's header gives to all other relations."""

import csv
import functools
from collections.abc import Iterator, Mapping
from pathlib import Path

from pipeline.feeds.columns import FEEDS
from pipeline.review.graph import Relation
from pipeline.review.inputs import PREVIOUS

TABLE = Path(__file__).with_name("meanings.csv")
# policy.fact_ages has a column for each question and some more for answers that stand, so their words are made.
SUFFIXES = {"_keeps_below": "below this, {0} stands however old", "_keeps_from": "from this on, {0} stands however old",
            "_keeps": "answers to {0} that stand however old"}  # fmt: skip


@functools.cache
def told() -> dict[tuple[str, str], str]:
    """(relation, column) to what it means; the column is "" for the relation itself."""
    with TABLE.open(encoding="utf-8", newline="") as rows:
        return {(row["relation"], row["column"]): row["meaning"] for row in csv.DictReader(rows)}


def loaded_comments(
    kept: Mapping[str, tuple[str, ...]], relations: Mapping[str, Relation]
) -> Iterator[tuple[str, str, str]]:
    """(relation, column, meaning) of every loaded relation in the file; `kept` maps each to its columns.

    What nobody has described is left out here and found by the tests: a missing comment must not stop an audit.
    """
    for relation, columns in sorted(kept.items()):
        for column in ("", *columns):
            if meaning := _meaning(relation, column, relations):
                yield relation, column, meaning


def _meaning(relation: str, column: str, relations: Mapping[str, Relation]) -> str | None:
    if not column:
        return told().get((relation, column))
    if relation in PREVIOUS:
        return next(said.meaning for said in relations[PREVIOUS[relation]].header.columns if said.name == column)
    if relation == "policy.fact_ages":
        return _of_an_age(column)
    return told().get((relation, column))


def _of_an_age(column: str) -> str | None:
    for suffix, words in SUFFIXES.items():
        if column.endswith(suffix):
            return words.format(column.removesuffix(suffix))
    if column not in {known.name for known in FEEDS["circumstances"].columns}:
        return None
    return f"an answer to {column} is trusted for so many days; blank = no limit"
