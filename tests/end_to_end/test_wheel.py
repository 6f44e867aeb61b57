"""What is installed is whole: it runs from another folder and finds its SQL, templates, policy and sample."""

from pathlib import Path

from tests.contract.conftest import Desk, braden, client, injury, loan, placement
from tests.end_to_end.conftest import ROOT


def shipped(folder: str, pattern: str) -> set[str]:
    return {f"pipeline/shipped/{path.relative_to(ROOT).as_posix()}" for path in (ROOT / folder).rglob(pattern)}


def test_everything_that_is_not_python_is_in_the_wheel(names_in_wheel):
    assert shipped("sql", "*.sql") <= names_in_wheel
    assert shipped("reports", "*.html") | shipped("reports", "*.css") <= names_in_wheel
    assert shipped("sample_data", "*.csv") <= names_in_wheel
    policy = {path.relative_to(ROOT).as_posix() for path in (ROOT / "pipeline" / "policy").rglob("*.toml")}
    tables = ("feeds", "reasons", "l89_sites", "l89_stages", "snomed_stages")
    assert policy | {f"pipeline/feeds/{table}.csv" for table in tables} <= names_in_wheel


def test_no_test_is_in_the_wheel(names_in_wheel):
    assert [name for name in names_in_wheel if name.startswith("tests/")] == []


def test_the_installed_program_does_not_lean_on_the_checkout(installed):
    found = Path(installed.python("from pipeline import resources; print(resources.sql_dir())"))
    assert ROOT not in found.parents
    assert found.is_dir()


def test_a_week_from_another_folder(installed):
    installed.run("init", "service")
    desk = Desk(installed.elsewhere / "service")
    desk.drop("clients.csv", [client()])
    desk.drop("placements.csv", [placement()])
    desk.drop("assessments.csv", [braden("A-1", recorded_total=17)])
    desk.drop("injuries.csv", [injury("O-1")])
    desk.drop("loans.csv", [loan("L-1")])
    ran = installed.run("run", "--workspace", "service", "--received-at", "2026-01-05T06:00:00Z")
    index = desk.root / "audits" / "index.html"
    assert ran.stdout.splitlines()[-1] == str(index)
    assert "weekly_audit.html" in index.read_text(encoding="utf-8")
    assert "risk.scores" in installed.run("relations").stdout
    installed.run("verify", "--workspace", "service")
