"""A scale of a service's own is one file in its policy folder: from an export to the worklist without any code."""

import pytest

from tests.contract.conftest import client, loan, placement

WEEK = ("--received-at", "2026-01-05T06:00:00Z")
# Invented, with everything that a block can say: listed scores, a tick worth several points, a group that stops at a
# most, a deduction, an item that may stay blank.
SCALE = """
signed_off_on = 2025-12-01
signed_off_role = "clinical lead"

[[scale]]
id = "saltbeck"
label = "Saltbeck score"
effective_from = 2025-01-01
basis = "decision"
source = "Invented for this test"
licence = "Ours"
worse = "high"
min_total = -1
max_total = 17
min_age_months = 216
age_source = "Invented for this test"
groups = [{ group = "moving", max_points = 6 }]
items = [
  { item = "turns",     label = "Turns in bed",   scores = [0, 2, 5], group = "moving" },
  { item = "stands",    label = "Stands up",      low = 0, high = 3, group = "moving" },
  { item = "wet_skin",  label = "Wet skin",       low = 0, high = 1, points = 4 },
  { item = "helped",    label = "Helped by day",  low = 0, high = 1, points = -1 },
  { item = "blood",     label = "Blood value",    low = 0, high = 7, is_optional = true },
]
bands = [
  { band = "not_at_risk", label = "calm",     from_total = -1, to_total = 5,  risk_rung = 0, basis = "decision", source = "Invented" },
  { band = "high",        label = "restless", from_total = 6,  to_total = 9,  risk_rung = 2, basis = "decision", source = "Invented" },
  { band = "very_high",   label = "stormy",   from_total = 10, to_total = 17, risk_rung = 3, basis = "decision", source = "Invented" },
]
"""  # noqa: E501
ITEMS = ("turns", "stands", "wet_skin", "helped", "blood")


def form(assessment_id, client_id, *scores, **more):
    row = {"assessment_id": assessment_id, "client_id": client_id, "assessed_at": "2026-01-02T10:00:00"}
    return row | {"scale": "saltbeck"} | dict(zip(ITEMS, scores, strict=True)) | more


@pytest.fixture
def reviewed(desk):
    path = desk.root / "policy" / "scales" / "saltbeck.toml"
    path.parent.mkdir(parents=True)
    path.write_text(SCALE, encoding="utf-8")
    people = [f"C-{number}" for number in range(1, 7)]
    desk.drop("clients.csv", [client(person) for person in people])
    desk.drop("placements.csv", [placement(person) for person in people])
    desk.drop("loans.csv", [loan(f"L-{p}", p, surface_class="standard_mattress") for p in people])
    forms = [
        # 5 and 3 stop at 6; 6 + 4 - 1 = 9.
        form("A-1", "C-1", 5, 3, 1, 1, None),
        # 2 + 0 + 0 - 1 = 1, and a blood value of 7 makes 8 of it.
        form("A-2", "C-2", 2, 0, 0, 1, None),
        form("A-3", "C-3", 2, 0, 0, 1, 7, recorded_total=8, recorded_band="restless"),
        form("A-4", "C-4", 5, 3, None, 1, 7, recorded_total=2),
        form("A-5", "C-5", 3, 0, 0, 0, 0),
        form("A-6", "C-6", *(None,) * 5, recorded_band="stormy"),
    ]
    desk.drop("assessments.csv", forms)
    desk.run("run", *WEEK)
    return desk


def test_an_eleventh_scale_needs_no_code(reviewed):
    # The sums are done by hand beside the forms above.
    found = reviewed.ask(
        "SELECT assessment_id, recomputed_total, band, basis_of_band, band_agrees, missing_items FROM risk.scores"
        " ORDER BY ALL"
    )
    assert found == [
        ("A-1", 9, "high", "recomputed", None, None),
        ("A-2", 1, "not_at_risk", "recomputed", None, None),
        ("A-3", 8, "high", "recomputed", True, None),
        ("A-4", None, None, None, None, "wet_skin"),
        ("A-6", None, "very_high", "recorded_unchecked", None, "turns; stands; wet_skin; helped"),
    ]
    assert reviewed.ask("SELECT record_id, column_name, code FROM quality.held") == [
        ("A-5", "turns", "item_out_of_range")
    ]


def test_its_bands_drive_need_and_reach_the_worklist(reviewed):
    # What somebody needs at the least; no export of injuries came, so nobody's need is wholly known.
    need = dict(reviewed.ask("SELECT client_id, need_at_least FROM fit.need WHERE position = 'lying'"))
    assert need == {"C-1": 2, "C-2": 0, "C-3": 2, "C-4": 0, "C-5": 0, "C-6": 3}
    [[reasons]] = reviewed.ask("SELECT reasons FROM fit.need WHERE position = 'lying' AND client_id = 'C-1'")
    assert reasons.startswith("Saltbeck score 9 on 2026-01-02 reads as ")
    findings = reviewed.ask("SELECT client_id FROM audit.findings WHERE rule = 'bed_std_high_risk' ORDER BY ALL")
    assert findings == [("C-1",), ("C-3",), ("C-6",)]
    page = next(reviewed.root.glob("audits/*/*/worklist.html")).read_text(encoding="utf-8")
    assert all(person in page for person in ("C-1", "C-3", "C-6"))


def test_explain_says_its_label_its_total_and_its_band(reviewed):
    _, said, _ = reviewed.run("explain", "C-1")
    assert "Saltbeck score 9 on 2 January 2026, high" in " ".join(said.split())
    # A band that was sent without a number has none made up for it.
    _, said, _ = reviewed.run("explain", "C-6")
    assert "Saltbeck score on 2 January 2026, very high" in " ".join(said.split())


def test_the_sheet_has_its_label_its_total_and_its_band(reviewed):
    sheet = next(reviewed.root.glob("audits/*/*/clients/C-1.html")).read_text(encoding="utf-8")
    risk = sheet.partition('aria-labelledby="risk"')[2].partition("</section>")[0]
    assert "Saltbeck score <strong>9</strong>, <strong>high</strong>, scored 2 January" in risk
    assert 'Saltbeck score</td><td role="cell" class="number" data-label="Total">9<' in risk
