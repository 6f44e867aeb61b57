import pytest

from tests.unit.intake.inbox import Inbox


@pytest.fixture
def inbox(tmp_path) -> Inbox:
    """An empty workspace with the default settings."""
    return Inbox(tmp_path)
