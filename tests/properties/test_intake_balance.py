"""Whatever text lies in the inbox, intake ends with a receipt or a refusal, and no row is lost or made up."""

import csv
import io
import random
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.feeds.columns import FEEDS
from tests.unit.intake.inbox import BRADEN, GOOD, NORTON, Inbox

FEW = settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])

ANY_CELL = st.one_of(
    st.text(max_size=12),
    st.sampled_from(
        ["", " ", "C-1", "braden", "2", "2.5", "-1", "1e400", "true", "2026-02-26", "2026-02-26T09:30Z", "x"]
    ),
)


def headings(feed: str) -> list[str]:
    columns = [column.name for column in FEEDS[feed].fixed]
    return columns + ([*BRADEN, "incontinence"] if feed == "assessments" else [])


@st.composite
def tables(draw) -> tuple[str, str]:
    """A feed and text under its headings: whole rows, ragged rows, blank lines, quoted line breaks."""
    feed = draw(st.sampled_from(sorted(FEEDS)))
    required = [column.name for column in FEEDS[feed].fixed if column.required]
    names = [*required, *draw(st.lists(st.sampled_from(headings(feed)), unique=True, max_size=5)), "unmapped"]
    names = list(dict.fromkeys(names))
    rows = draw(st.lists(st.lists(ANY_CELL, min_size=1, max_size=len(names) + 1), max_size=8))
    out = io.StringIO(newline="")
    writer = csv.writer(
        out, delimiter=draw(st.sampled_from(",;\t")), lineterminator=draw(st.sampled_from(["\n", "\r\n"]))
    )
    writer.writerows([names, *rows])
    return feed, out.getvalue()


@FEW
@given(table=tables())
def test_any_table_balances(table):
    feed, text = table
    with tempfile.TemporaryDirectory() as folder:
        inbox = Inbox(Path(folder))
        outcome = inbox.take_one(f"{feed}.csv", text.encode("utf-8", errors="replace"))
        assert outcome.rows_read == outcome.accepted + outcome.held or outcome.status == "refused"
        if outcome.status == "taken":
            assert (len(inbox.accepted(feed)), len(inbox.held(feed))) == (outcome.accepted, outcome.held)
            rows = [row["source_row"] for row in inbox.accepted(feed) + inbox.held(feed)]
            assert len(set(rows)) == len(rows)
            [receipt] = inbox.records("receipts")
            assert receipt["rows_read"] == receipt["accepted"] + receipt["held"]


@FEW
@given(content=st.binary(max_size=200))
def test_any_bytes_end_in_a_status(content):
    with tempfile.TemporaryDirectory() as folder:
        outcome = Inbox(Path(folder)).take_one("clients.csv", b"client_id,sex\n" + content)
        assert outcome.status in ("taken", "refused")


@FEW
@given(seed=st.integers(0, 2**32), cuts=st.integers(1, 4))
def test_splits_and_order_give_equal_content(seed, cuts):
    """The same rows in one file, or in several and in another order: equal content, equal reasons."""
    rng = random.Random(seed)
    rows = [
        {**dict.fromkeys(NORTON, ""), **GOOD["assessments"], "assessment_id": f"A-{n}",
         "mobility": rng.choice(["1", "4", "5", "x", ""]), "scale": rng.choice(["braden", "norton", "other"])}
        for n in range(12)
    ]  # fmt: skip
    shuffled = rng.sample(rows, len(rows))
    with tempfile.TemporaryDirectory() as one, tempfile.TemporaryDirectory() as several:
        whole, parts = Inbox(Path(one)), Inbox(Path(several))
        whole.take_one("assessments.csv", rows)
        for place in range(cuts):
            if mine := shuffled[place::cuts]:
                parts.drop(f"assessments_{place}.csv", mine)
        parts.take()
        for inbox in (whole, parts):
            assert len(inbox.accepted("assessments")) + len(inbox.held("assessments")) == 12
        assert _content(whole) == _content(parts)


def _content(inbox: Inbox) -> tuple[list, list]:
    accepted = sorted(row["content_key"] for row in inbox.accepted("assessments"))
    held = sorted((row["record_id"], row["codes"], row["columns"]) for row in inbox.held("assessments"))
    return accepted, held
