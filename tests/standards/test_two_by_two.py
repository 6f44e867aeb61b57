"""Published two-by-two tables, rebuilt as a caseload and counted in the warehouse; a zero cell gives no number.

Sources, as abstracts: Braden and Bergstrom 1994, Res Nurs Health 17:459-470 (102 people, Braden at 18); VandenBosch
and others 1996, Appl Nurs Res (103 people, Braden at 17); Willock and others 2007 (336 children, Glamorgan at 10);
Kim and others 2013, Healthc Inform Res 19:261 (829 people, Cubbin and Jackson at 24). The four counts are those
that alone give the published percentages; what follows from them was computed apart from this program. A cut that
is not the shipped one is set as a service would set it: by a file of its own policy folder.
"""

from pathlib import Path

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from pipeline.resources import policy_dir
from tests.standards.conftest import RECEIVED, Answers, write_csv

SQL = Path(__file__).with_name("two_by_two.sql").read_text(encoding="utf-8")
NAMES = (
    "tp", "fn", "tn", "fp", "sensitivity", "specificity", "predictive_of_injury", "predictive_of_none", "accuracy",
    "odds_ratio", "likelihood_if_positive", "likelihood_if_negative", "youden", "area_under_curve",
)
BRADEN = {"sensory_perception": 3, "moisture": 3, "activity": 3, "mobility": 3, "friction_shear": 3}
CUBBIN = (
    "age", "weight", "past_medical_history", "skin_condition", "mental_condition", "mobility", "haemodynamics",
    "respiration", "oxygen_need", "nutrition", "incontinence",
)  # fmt: skip
CALM = dict.fromkeys(("anaemia", "pyrexia", "poor_perfusion", "inadequate_nutrition", "low_albumin", "incontinence"), 0)
NOT_TAKEN_OFF = dict.fromkeys(("transport_or_surgery", "blood_products", "hypothermia"), 0)
# Each form lies right at the cut: the first on its positive side, the second just beyond it.
BRADEN_18 = (BRADEN | {"nutrition": 3}, BRADEN | {"nutrition": 4})
BRADEN_17 = (BRADEN | {"nutrition": 2}, BRADEN | {"nutrition": 3})
GLAMORGAN = (CALM | {"mobility": 10, "equipment": 0}, CALM | {"mobility": 0, "equipment": 0})
CUBBIN_24 = tuple(dict.fromkeys(CUBBIN, 2) | NOT_TAKEN_OFF | {"hygiene": hygiene} for hygiene in (2, 3))
# What a service writes for a cut of its own: text of the shipped file, and what stands there instead.
AT_17 = (
    ("braden", "from_total = 15, to_total = 18", "from_total = 15, to_total = 17"),
    ("braden", "from_total = 19, to_total = 23", "from_total = 18, to_total = 23"),
)
AT_24 = (
    ("cubbin_jackson", "from_total = 9,  to_total = 29", "from_total = 9,  to_total = 24"),
    ("cubbin_jackson", "from_total = 30, to_total = 48", "from_total = 25, to_total = 48"),
)
TABLES = {
    # Published: 79 %, 74 %, 54 %, 90 %, three quarters right.
    "Braden and Bergstrom 1994": (
        "braden", BRADEN_18, (), (22, 6, 55, 19),
        (.7857, .7432, .5366, .9016, .7549, 10.614, 3.0602, .2883, .5290, .7645),
    ),
    # Published: .59 and .59.
    "VandenBosch 1996": (
        "braden", BRADEN_17, AT_17, (17, 12, 44, 30),
        (.5862, .5946, .3617, .7857, .5922, None, 1.4460, .6959, None, .5904),
    ),
    # Published: 100 % and 50.2 %. Nobody with an injury was missed, so there is no odds ratio.
    "Willock 2007": (
        "glamorgan", GLAMORGAN, (), (61, 0, 138, 137), (1, .5018, .3081, 1, None, "no number", None, 0, None, None),
    ),
    # Published: 72.0, 68.8, 27.7 and 93.7 %.
    "Kim 2013": (
        "cubbin_jackson", CUBBIN_24, AT_24, (85, 33, 489, 222),
        (.7203, .6878, .2769, .9368, None, None, 2.3070, None, None, None),
    ),
    # Invented: nobody was hurt, and everybody was called at risk.
    "nobody was hurt": ("braden", BRADEN_18, (), (0, 0, 0, 5), ("no number", 0, 0, "no number", 0, "no number")),
}  # fmt: skip


@pytest.fixture(scope="module", params=TABLES)
def counted(request, tmp_path_factory):
    """The answer of the warehouse, by name, and what it must be."""
    scale, (positive, negative), local, cells, measures = TABLES[request.param]
    root = tmp_path_factory.mktemp("two_by_two") / "ws"
    assert CliRunner().invoke(main, ["init", str(root)]).exit_code == 0
    for name, shipped, ours in local:
        path = root / "policy" / "scales" / f"{name}.toml"
        path.parent.mkdir(parents=True, exist_ok=True)
        text = (path if path.exists() else policy_dir() / "scales" / path.name).read_text(encoding="utf-8")
        assert shipped in text
        path.write_text(text.replace(shipped, ours), encoding="utf-8")
    people, forms, looks = [], [], []
    for count, cell, is_hurt in zip(cells, (positive, negative, negative, positive), (1, 1, 0, 0), strict=True):
        for _ in range(count):
            client = f"C-{len(people)}"
            people.append({"client_id": client, "sex": "female", "age_years": 9 if scale == "glamorgan" else 79})
            form = {"assessment_id": f"A-{client}", "client_id": client, "assessed_at": "2025-12-01"}
            forms.append(form | {"scale": scale} | cell)
            if is_hurt:
                looks.append(
                    {"injury_observation_id": f"O-{client}", "injury_id": f"I-{client}", "client_id": client,
                     "observed_at": "2025-12-20", "location": "sacrum", "stage": "stage_2", "status": "open"}
                )  # fmt: skip
    for feed, rows in (("clients", people), ("assessments", forms), ("injuries", looks)):
        if rows:
            write_csv(root / "inbox" / f"{feed}.csv", rows)
    result = CliRunner().invoke(main, ["run", "--workspace", str(root), "--received-at", RECEIVED])
    assert result.exit_code == 0, result.output
    [row] = Answers(root).ask(SQL)
    return dict(zip(NAMES, row[1:], strict=True)), dict(zip(NAMES, (*cells, *measures), strict=False))


def test_the_table_reproduces(counted):
    # Each source stands beside its table above; None there is a measure that was not published or computed.
    found, told = counted
    for name, value in told.items():
        if value == "no number":
            assert found[name] is None, name
        elif value is not None:
            assert float(found[name]) == pytest.approx(value, abs=0.0006 if name == "odds_ratio" else 0.00006), name
