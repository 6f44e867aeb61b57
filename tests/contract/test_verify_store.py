"""`verify` vouches for every paper of the store: receipts, arrivals and refusals, changed, lost or added."""

import json

import pytest

from tests.contract.conftest import client, placement

PAPERS = ("receipts", "arrivals", "refused")


@pytest.fixture
def kept(desk):
    """Two files taken in and one refused, in a workspace that has published."""
    desk.drop("clients.csv", [client()])
    desk.drop("placements.csv", [placement()])
    desk.drop("odd.csv", [{"client_id": "C-1"}])
    desk.run("run", "--received-at", "2026-01-05T06:00:00Z", expect=11)
    desk.run("verify")
    return desk


def first_of(desk, folder):
    return sorted((desk.root / "store" / folder).glob("*.json"))[0]


def found(desk):
    _, _, said = desk.run("verify", expect=17)
    return said


@pytest.mark.parametrize("folder", PAPERS)
def test_a_changed_byte_names_its_file_once(folder, kept):
    path = first_of(kept, folder)
    content = path.read_bytes()
    path.write_bytes(content.replace(b'"source": "default"', b'"source": "defaulT"'))
    said = found(kept)
    assert f"store/{folder}/{path.name}" in said
    assert f"store/{folder} (" not in said
    path.write_bytes(content)
    kept.run("verify")


@pytest.mark.parametrize("folder", PAPERS)
def test_one_that_is_gone_and_one_that_is_new_are_noticed(folder, kept):
    path = first_of(kept, folder)
    content = path.read_bytes()
    path.unlink()
    assert f"store/{folder} (a file is gone or new)" in found(kept)
    path.write_bytes(content)
    kept.run("verify")
    path.with_name("0" * 32 + ".json").write_bytes(content)
    # Whoever copies a paper gives it a name that is not its own, so it is named itself.
    assert f"store/{folder}/{'0' * 32}.json" in found(kept)


def test_a_refusal_of_another_day_is_noticed_though_its_sum_is_right(kept):
    path = first_of(kept, "refused")
    before = path.read_bytes()
    (kept.root / "inbox" / "odd.csv").unlink()
    kept.run("intake", "--received-at", "2026-01-06T06:00:00Z")
    assert json.loads(path.read_bytes())["gone_at"] == "2026-01-06T06:00:00Z"
    kept.run("verify")
    path.write_bytes(before)
    assert "store/refused (a file is gone or new)" in found(kept)


def test_something_that_is_no_paper_is_named(kept):
    (kept.root / "store" / "refused" / "note.json").write_text("[]")
    (kept.root / "store" / "arrivals" / "note.json").write_text("not json")
    said = found(kept)
    assert "store/refused/note.json" in said
    assert "store/arrivals/note.json" in said


def test_an_intake_alone_is_vouched_for(kept):
    kept.drop("more.csv", [{"client_id": "C-1"}])
    kept.run("intake", "--received-at", "2026-01-06T06:00:00Z", expect=11)
    kept.run("verify")
