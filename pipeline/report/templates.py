"""The Jinja environments: a page escapes everything, and a name that is not there is an error."""

from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import BytecodeCache, Environment, FileSystemLoader, StrictUndefined
from jinja2.bccache import Bucket
from markupsafe import Markup

from pipeline.report import filters


class _Compiled(BytecodeCache):
    """Templates of this process, compiled once: that takes longer than to render an audit."""

    def __init__(self) -> None:
        self._kept: dict[tuple[str, str], Any] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        bucket.code = self._kept.get((bucket.key, bucket.checksum))

    def dump_bytecode(self, bucket: Bucket) -> None:
        self._kept[bucket.key, bucket.checksum] = bucket.code


@lru_cache(maxsize=8)
def _compiled(kind: str, words: frozenset[tuple[tuple[str, str], str]]) -> _Compiled:
    # A page and a text are compiled differently, and a word that a template writes out may be folded into its code.
    return _Compiled()


def environment(folder: Path, *, labels: filters.Labels) -> Environment:
    """Templates from a folder, with the filters that write facts as words.

    Escaping is switched on for every template, not by file ending: a person's or a team's name comes from an export and
    is text, whatever it looks like.
    """
    templates = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        bytecode_cache=_compiled("page", frozenset(labels.items())),
    )
    templates.filters.update(_filters(labels))
    # The stylesheet is ours and holds no data, so it goes in as it is: escaped, its child selectors would break.
    templates.globals["style"] = Markup((folder / "style.css").read_text(encoding="utf-8").strip())
    return templates


def text_environment(folder: Path, *, labels: filters.Labels) -> Environment:
    """The same for plain text in a terminal: nothing is escaped, and no value can move the cursor or begin a line."""
    templates = Environment(
        loader=FileSystemLoader(folder),
        autoescape=False,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_one_line,
        bytecode_cache=_compiled("text", frozenset(labels.items())),
    )
    templates.filters.update(_filters(labels))
    return templates


def _one_line(value: Any) -> Any:
    return "".join(mark if mark.isprintable() else " " for mark in value) if isinstance(value, str) else value


def _filters(labels: filters.Labels) -> dict[str, Callable]:
    return {
        "number": filters.number,
        "plain": filters.plain,
        "columns": filters.columns_for(labels),
        "counted": filters.counted,
        "day": filters.day,
        "short_day": filters.short_day,
        "month": filters.month,
        "weekday": filters.weekday,
        "moment": filters.moment,
        "said": filters.said,
        "coded": filters.coded,
        "sentence": filters.sentence,
        "words": filters.words_for(labels),
        "dated": filters.dated,
        "facts": filters.facts_for(labels),
    }
