"""Each way to end early has its exit code, and one message of four parts."""

import inspect

import pytest

from pipeline import errors


def classes():
    return [made for _, made in inspect.getmembers(errors, inspect.isclass)]


def test_all_errors_share_one_base():
    assert all(issubclass(made, errors.CaseroundError) for made in classes())


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("PolicyUnsound", 10),
        ("SettingsUnsound", 10),
        ("ChecksDisagree", 13),
        ("WorkspaceBusy", 14),
        ("NoWarehouse", 15),
        ("WarehouseUnfit", 15),
        ("VerifyFoundChange", 17),
        ("QueryRefused", 2),
        ("NobodyOfThatId", 2),
    ],
)
def test_exit_codes_that_schedulers_rely_on(name, code):
    assert getattr(errors, name).exit_code == code


def test_the_worst_news_wins():
    assert errors.WORST_FIRST == (1, 13, 11, 12, 16)


def test_a_message_says_what_how_big_what_was_done_and_what_to_do():
    error = errors.NoWarehouse(what="No warehouse.", size="0 files.", done="Nothing was read.", todo="Run first.")
    assert str(error) == "No warehouse. 0 files. Nothing was read. Run first."


def test_parts_that_are_not_given_leave_no_gap():
    assert str(errors.WorkspaceBusy(what="Busy.", todo="Wait.")) == "Busy. Wait."
