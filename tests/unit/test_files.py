"""What is public is whole: every change to the disk is one atomic step."""

import stat

import pytest

from pipeline import files


@pytest.fixture
def calls(monkeypatch):
    told = []
    monkeypatch.setattr(files, "on_call", lambda name, moment: told.append((name, moment)))
    return told


def test_every_public_call_is_told_before_and_after(tmp_path, calls):
    files.make_dir(tmp_path / "a")
    files.write_atomically(tmp_path / "a" / "x", b"1")
    files.rename_new(tmp_path / "a", tmp_path / "b")
    files.remove(tmp_path / "b" / "x")
    files.remove_tree(tmp_path / "b")
    told = {name for name, _ in calls}
    assert told == {
        "make_dir",
        "write_atomically",
        "replace",
        "fsync_file",
        "fsync_dir",
        "rename_new",
        "remove",
        "remove_tree",
    }
    assert [m for _, m in calls].count("before") == [m for _, m in calls].count("after")


def test_a_file_is_synced_before_it_is_renamed_and_its_folder_after(tmp_path, calls):
    files.write_atomically(tmp_path / "x", b"1")
    assert [name for name, moment in calls if moment == "before"] == [
        "write_atomically",
        "replace",
        "fsync_file",
        "fsync_dir",
    ]


def test_a_reader_sees_the_old_file_until_the_new_one_is_whole(tmp_path, monkeypatch):
    files.write_atomically(tmp_path / "x", b"old")
    seen = []
    monkeypatch.setattr(files, "on_call", lambda name, moment: seen.append((tmp_path / "x").read_bytes()))
    files.write_atomically(tmp_path / "x", b"new")
    assert seen[0] == b"old"
    assert seen[-1] == b"new"
    assert set(seen) == {b"old", b"new"}


def test_a_published_folder_is_never_written_over(tmp_path):
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    with pytest.raises(FileExistsError):
        files.rename_new(tmp_path / "a", tmp_path / "b")


def test_what_is_gone_already_is_fine(tmp_path):
    files.remove(tmp_path / "x")
    files.remove_tree(tmp_path / "y")
    assert not list(tmp_path.iterdir())


def test_a_private_file_is_private_from_its_first_byte(tmp_path):
    files.write_atomically(tmp_path / "x", b"1", mode=0o600)
    assert stat.S_IMODE((tmp_path / "x").stat().st_mode) == 0o600


def test_leftovers_are_found_and_finished_work_is_not(tmp_path):
    (tmp_path / "store").mkdir()
    for name in (".x.parquet.tmp", ".w.duckdb.tmp.wal", "x.parquet", ".lock", "tmp"):
        (tmp_path / "store" / name).write_bytes(b"")
    found = [path.name for path in files.leftovers(tmp_path)]
    assert found == [".w.duckdb.tmp.wal", ".x.parquet.tmp"]
    assert files.is_unfinished(files.temporary_name(tmp_path / "any"))
