"""quality.completeness names every optional column of every feed, so that a new one is counted from its first day."""

from pipeline.feeds.columns import FEEDS
from tests.models.cases import shared_world

# The last two are the record's own housekeeping, and the items of a scale are counted by the scores.
NOT_COUNTED = {"updated_at", "record_status", "<item>"}


def test_every_optional_column_is_counted():
    world = shared_world()
    counted = world.con.execute(world.relations["quality.completeness"].sql).fetchall()
    expected = [
        (feed.name, column.name)
        for feed in FEEDS.values()
        for column in feed.columns
        if not column.required and column.name not in NOT_COUNTED
    ]
    assert sorted((feed, column) for feed, column, *_ in counted) == sorted(expected)
