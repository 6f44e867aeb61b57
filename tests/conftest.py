"""What tests of several folders share: the sample caseload as the demonstration leaves it, and how many processes."""

import os
from pathlib import Path

import pytest

from tests.sample_audit import SampleAudit

HERE = Path(__file__).parent


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Two processes for a run of all tests; for a part none but this one: each must collect anew."""
    is_whole = any(HERE.is_relative_to(Path(argument).resolve()) for argument in config.args)
    return 2 if is_whole and (os.cpu_count() or 1) > 1 else 0


@pytest.fixture(scope="session")
def sample(tmp_path_factory) -> SampleAudit:
    """The demonstration's workspace, one for each process; whoever changes a byte of it puts it back."""
    return SampleAudit.made_in(tmp_path_factory.mktemp("sample") / "ws")
