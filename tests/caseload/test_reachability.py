"""Whatever the program can say, the sample caseload makes it say: a promise in a README proves nothing."""

import shutil
from datetime import UTC, datetime

import pytest

from pipeline.feeds.reasons import REASONS
from pipeline.intake import take_in
from pipeline.log import RunLog, no_progress
from pipeline.policy import load
from pipeline.resources import sample_dir, sql_dir
from pipeline.review.graph import relation_files
from pipeline.review.headers import parse_header
from pipeline.settings import Source, Workspace

pytestmark = pytest.mark.slow

# What a weekly caseload cannot hold, each with what would have to happen.
OUT_OF_REACH = {
    ("quality.files", "status", "superseded"): "a change of the policy's scales or of a mapping between two drops",
    ("quality.files", "status", "withdrawn"): "a file that somebody withdrew",
    ("trends.stage_transitions", "transition", "review"): "a step between two stages that the matrix leaves to review",
    ("quality.files", "status", "refused"): "the refused exports lie beside the drops, and are taken in below",
}
# The columns that say how something was judged; a column that repeats a cell of an export says nothing of ours.
JUDGED = (
    ("records.set_aside", "version_status"), ("records.set_aside", "waiting_code"),
    ("risk.scores", "recomputed_band"), ("risk.scores", "basis_of_band"),
    ("fit.need", "need_level"), ("fit.provision", "verdict"),
    ("audit.findings", "about"), ("audit.findings", "severity"), ("audit.findings", "status"),
    ("audit.unknowns", "why"), ("audit.changes", "change"),
    ("audit.reassessments", "kind"), ("audit.reassessments", "status"),
    ("quality.files", "status"), ("quality.held", "status"), ("trends.stage_transitions", "transition"),
)  # fmt: skip


def said(weeks, relation: str, column: str) -> set[str]:
    """Every value of a column in any week's warehouse."""
    query = f"SELECT DISTINCT {column} FROM {relation} WHERE {column} IS NOT NULL"
    return {row[0] for day in weeks.warehouses for row in weeks.ask(query, on=day)}


@pytest.mark.parametrize(("relation", "column"), JUDGED, ids=[".".join(pair) for pair in JUDGED])
def test_every_code_of_a_judgement_occurs(weeks, relation, column):
    header = parse_header(relation_files(sql_dir())[relation].read_text(encoding="utf-8"))
    codes = set(header.column(column).codes)
    assert codes, "a judgement has a closed list of codes"
    missing = codes - said(weeks, relation, column)
    assert missing == {code for name, field, code in OUT_OF_REACH if (name, field) == (relation, column)}


def test_every_rule_is_true_of_somebody(weeks):
    rules = {rule.rule for rule in weeks.policy.rules(max(weeks.warehouses))}
    assert len(rules) >= 80
    assert rules - said(weeks, "audit.findings", "rule") == set()


def test_every_reason_to_hold_or_to_wait_occurs(weeks):
    wanted = {code for code, reason in REASONS.items() if reason.kind in ("held", "waiting")}
    assert said(weeks, "quality.held", "code") == wanted


def test_every_reason_to_refuse_occurs(tmp_path):
    workspace = Workspace(
        root=tmp_path, sources=(Source(name="dated", match="dated*", feed="clients", updated_at="file name, %Y%m%d"),)
    )
    inbox = tmp_path / "inbox"
    shutil.copytree(sample_dir() / "refused", inbox)
    # A day in a file's name is asked for by a source's settings only, which no file carries.
    (inbox / "dated.csv").write_text("client_id\nC-1\n", encoding="utf-8")
    outcome = take_in(
        workspace, load(None), received_at=datetime(2026, 3, 2, 6, tzinfo=UTC), progress=no_progress, log=RunLog()
    )
    codes = {file.code for file in outcome.files if file.code}
    assert codes == {code for code, reason in REASONS.items() if reason.kind == "refused"}
    assert {file.accepted for file in outcome.files} == {0}
