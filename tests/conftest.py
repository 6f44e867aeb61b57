"""What slow tests of several folders share: the sample caseload as the demonstration leaves it, made once."""

import pytest

from tests.sample_audit import SampleAudit


@pytest.fixture(scope="session")
def sample(tmp_path_factory) -> SampleAudit:
    """The demonstration's workspace; whoever changes a byte of it puts it back."""
    return SampleAudit.made_in(tmp_path_factory.mktemp("sample") / "ws")
