"""Rows as text for people, spreadsheets and programs."""

import json

import pytest

from pipeline.tables import Table, as_text

ROWS = Table(("name", "count"), (("loans", 2), ("=1+1", None)))


def test_a_table_is_aligned():
    assert as_text(ROWS, form="table") == "name   count\n-----  -----\nloans  2\n=1+1\n"


def test_csv_cannot_be_run_by_a_spreadsheet():
    assert as_text(ROWS, form="csv") == "name,count\nloans,2\n'=1+1,\n"


def test_a_negative_number_stays_a_number():
    assert as_text(Table(("n",), ((-1,),)), form="csv") == "n\n-1\n"


def test_json_keeps_types():
    assert json.loads(as_text(ROWS, form="json")) == [{"name": "loans", "count": 2}, {"name": "=1+1", "count": None}]


def test_no_rows_still_have_headings():
    assert as_text(Table(("a", "b"), ()), form="table") == "a  b\n-  -\n"


def test_another_format_is_an_error():
    with pytest.raises(ValueError, match="unknown format"):
        as_text(ROWS, form="xml")
