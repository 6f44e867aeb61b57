"""The Jinja environment: everything is escaped, and a name that is not there is an error."""

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from pipeline.report import filters


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
    )
    templates.filters.update(
        number=filters.number,
        counted=filters.counted,
        day=filters.day,
        short_day=filters.short_day,
        month=filters.month,
        weekday=filters.weekday,
        moment=filters.moment,
        said=filters.said,
        coded=filters.coded,
        sentence=filters.sentence,
        words=filters.words_for(labels),
        facts=filters.facts_for(labels),
    )
    # The stylesheet is ours and holds no data, so it goes in as it is: escaped, its child selectors would break.
    templates.globals["style"] = Markup((folder / "style.css").read_text(encoding="utf-8").strip())
    return templates
