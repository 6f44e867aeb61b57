"""An unsound policy is refused with its file, its block and what to do; nothing is guessed."""

import re

import pytest

from pipeline.errors import PolicyUnsound
from pipeline.policy import load
from pipeline.resources import policy_dir

RULE = """
[[rule]]
id = "own_rule"
about = "client"
family = "records"
when = "is_placed"
clears = "is_placed"
severity = "soon"
title = "A title"
consider = "Something."
effective_from = 2000-01-01
basis = "decision"
source = "Ours"
"""
# file, text to find in the shipped file, its replacement, what the message must hold
# A scale's cut-offs in one setting: at risk up to one total and not from another one on.
OWN_CUT = (
    'setting_bands = [{{ care_setting = "{0}", band = "at_risk", label = "at risk", from_total = 6, to_total = {1},'
    ' risk_rung = 1, basis = "decision", source = "ours" }}, {{ care_setting = "{0}", band = "not_at_risk",'
    ' label = "not at risk", from_total = {2}, to_total = 23, risk_rung = 0, basis = "decision", source = "ours" }}]\n'
)
SPOILED = [
    ("scales/braden.toml", "from_total = 13", "from_total = 12", "bands high and moderate overlap"),
    ("scales/braden.toml", "from_total = 13", "from_total = 14", "bands high and moderate leave a gap"),
    ("scales/braden.toml", "to_total = 23", "to_total = 22", "do not reach"),
    ("scales/braden.toml", "max_total = 23", "max_total = 24", "add up to 6 to 23"),
    ("scales/braden.toml", "low = 1, high = 3", "low = 4, high = 3", "low above high"),
    ("scales/braden.toml", "risk_rung = 3", "risk_rung = 0", "stands on a lower rung"),
    ("scales/braden.toml", "risk_rung = 3", "risk_rung = 4", "rung outside"),
    ("scales/braden.toml", 'item = "moisture"', 'item = "activity"', "stands twice"),
    ("scales/braden.toml", 'worse = "low"', 'worse = "down"', "worse has an unknown word"),
    ("scales/braden.toml", "min_age_months = 60", 'min_age_months = "60"', "is not a whole number"),
    ("scales/braden.toml", "min_age_months = 60", "min_age = 60", "min_age"),
    ("scales/braden.toml", 'licence = "', 'license = "', "licence is missing"),
    ("scales/braden.toml", 'basis = "published"\nsource', 'basis = "sure"\nsource', "basis has an unknown word"),
    ("scales/braden.toml", "effective_from = 2000-01-01\n", "", "effective_from is missing"),
    ("scales/braden.toml", "effective_from = 2000-01-01", 'effective_from = "2000-01-01"', "is not a day"),
    ("scales/braden.toml", "\n[[scale]]", "[[scales]]", "no block is called [[scales]]"),
    ("scales/braden.toml", "\n[[scale]]", "[scale]", "stands once"),
    ("scales/braden.toml", "\n[[scale]]", "[[scale", "not readable as TOML"),
    ("scales/braden.toml", 'id = "braden"', 'id = "norton"', "a second [[scale]] of that id"),
    ("scales/braden.toml", 'signed_off_on = ""', 'signed_off_on = "soon"', "signed_off_on is a day"),
    ("scales/braden.toml", "low = 1, high = 3", "low = 1", "item friction_shear has no range"),
    ("scales/braden.toml", "low = 1, high = 3", "scores = [1, 2, 3], low = 1, high = 3", "friction_shear has no range"),
    ("scales/braden.toml", "low = 1, high = 3", "scores = [1, 2, 2, 3]", "a score twice"),
    ("scales/braden.toml", "low = 1, high = 3", "scores = []", "low above high"),
    ("scales/braden.toml", "low = 1, high = 3", "scores = [1, 2.5, 3]", "gives part of a point"),
    ("scales/braden.toml", "low = 1, high = 3", "low = 1, high = 3, points = 2", "add up to 7 to 26"),
    ("scales/braden.toml", "low = 1, high = 3", "low = 1, high = 3, is_optional = true", "add up to 5 to 23"),
    ("scales/braden.toml", 'item = "friction_shear"', 'item = "Friction"', "item Friction cannot be a column"),
    ("scales/braden.toml", 'item = "friction_shear"', 'item = "scale"', "item scale cannot be a column"),
    ("scales/braden.toml", 'band = "moderate",  ', 'band = "medium",  ', "no band is called medium"),
    ("scales/braden.toml", 'label = "moderate"', 'label = "high"', "the word high means two bands"),
    ("scales/braden.toml", "from_total = 10, to_total = 12", "step = 1", "without from_total or to_total"),
    ("scales/braden.toml", "min_total = 6\n", "", "min_total or max_total is missing"),
    ("scales/braden.toml", "from_total = 10, to_total = 12", "from_total = 12, to_total = 10", "goes from above to"),
    ("scales/braden.toml", 'worse = "low"', 'worse = "low"\noutcome = "mean"', "outcome has an unknown word"),
    ("scales/braden.toml", 'worse = "low"', 'worse = "low"\noutcome = "pathway"', "has steps and no totals"),
    ("scales/waterlow.toml", "max_points = 6", "max_points = 7", "add up to 1 to 85"),
    ("scales/waterlow.toml", "points = 8", "points = 9", "add up to 1 to 85"),
    ("scales/waterlow.toml", '{ group = "medication", ', '{ group = "medicine", ', "group medicine stands twice"),
    ("scales/waterlow.toml", '{ group = "medication", ', '{ group = "neurological_deficit", ', "stands twice or holds"),
    ("scales/waterlow.toml", 'group = "medication" }', 'group = "smoking" }', "group smoking is called like an item"),
    ("scales/waterlow.toml", "max_points = 4", "most = 4", "max_points is missing"),
    ("scales/cubbin_jackson.toml", '["intensive_care"]', '["theatre"]', "no setting is called theatre"),
    ("scales/cubbin_jackson.toml", '["intensive_care"]', "[]", "care_settings is empty"),
    ("scales/braden.toml", "items = [", OWN_CUT.format("home", 19, 20) + "items = [", "no setting is called home"),
    ("scales/braden.toml", "items = [", OWN_CUT.format("community", 19, 21) + "items = [", "leave a gap"),
    ("scales/braden.toml", "items = [", OWN_CUT.format("community", 20, 20) + "items = [", "overlap"),
    ("scales/purpose_t.toml", "items = [", OWN_CUT.format("community", 19, 20) + "items = [", "a pathway has no total"),
    ("scales/purpose_t.toml", 'worse = "high"', 'worse = "low"', "a pathway has no total"),
    ("scales/purpose_t.toml", 'worse = "high"', 'worse = "high"\nmax_total = 2', "a pathway has no total"),
    ("scales/purpose_t.toml", "points = 2", "points = 3", "lead to a step without a band"),
    ("scales/purpose_t.toml", "step = 2", "step = 1", "lead to a step without a band"),
    ("scales/purpose_t.toml", "risk_rung = 2", "risk_rung = 0", "stands on a lower rung"),
    ("scales/purpose_t.toml", "step = 2", "step = 2, to_total = 2", "has steps and no totals"),
    ("classes.toml", 'id = "gel"', 'id = "jelly"', "surface_class]] gel is missing"),
    ("classes.toml", 'immersion = "1c"', 'immersion = "4c"', "capability immersion is no amount"),
    ("classes.toml", 'immersion = "1c"', 'immersion = "1x"', "capability immersion is no amount"),
    ("classes.toml", 'immersion = "1c"', 'softness = "1c"', "capability softness is not known"),
    ("classes.toml", 'risk_level_max = "0m"\n', "", "capability risk_level_max is missing"),
    ("classes.toml", "relief = 3", "relief = 5", "relief is not 0 to 3"),
    ("options.toml", 'id = "always"', 'id = "ever"', "fit_fact]] always is missing"),
    ("options.toml", 'fact = "lung_disease"', 'fact = "lungs"', "no fact is called lungs"),
    ("options.toml", 'flag = "is_active"', 'flag = "is_active"\nclasses = ["gel"]', "in one way which classes"),
    ("options.toml", 'flag = "is_active"\n', "", "in one way which classes it means"),
    ("options.toml", 'flag = "is_active"', 'flag = "is_loud"', "flag has an unknown word"),
    ("options.toml", 'flag = "is_active"', 'flag = "is_active"\nfrom = 2', "capability and from go together"),
    ("options.toml", 'kind = "short"', 'kind = "low"', "kind has an unknown word"),
    ("options.toml", 'classes = ["foam"]', 'classes = ["sponge"]', "no class is called sponge"),
    ("options.toml", 'capability = "noise"', 'capability = "loudness"', "no capability is called that"),
    ("options.toml", "good = 0\n", "", "good and says_for go together"),
    ("options.toml", "bad = 2\n", "", "bad and says_against go together"),
    ("options.toml", 'classes = ["cushion_gel"]', 'classes = ["gel"]', "nothing speaks against cushion_gel"),
    ("need.toml", 'id = "heel"', 'id = "heels"', "location]] heel is missing"),
    ("need.toml", 'id = "stage_4"', 'id = "stage_5"', "stage]] stage_4 is missing"),
    ("need.toml", 'loads_sitting = "when_seated"', 'loads_sitting = "maybe"', "loads_sitting has an unknown word"),
    ("intervals.toml", "within_hours = 6", "within_hours = 6\nwithin_days = 1", "either within_hours or within_days"),
    ("intervals.toml", "risk_rung = 3\nmax", "risk_rung = 5\nmax", "risk_rung is not 0 to 3"),
    ("intervals.toml", "risk_rung = 3\nwithin_days = 14", "risk_rung = 2\nwithin_days = 14", "at risk rung 3"),
    ("changes.toml", 'change_kind = "weight"\nwithin_days = 2\n', "within_days = 2\n", "has a change_kind"),
    ("changes.toml", 'kind = "change"', 'kind = "wound"', "has a change_kind and no other"),
    ("changes.toml", 'change_kind = "fall"', 'change_kind = "trip"', "change_kind has an unknown word"),
    ("changes.toml", "within_days = 14", "within_days = -1", "due before it begins"),
    ("schedules.toml", 'scale = "glamorgan"', 'scale = "glamorgen"', "no scale is called glamorgen"),
    ("schedules.toml", 'scale = "glamorgan"\n', "", "for days of a stay or for one scale"),
    ("schedules.toml", 'kind = "schedule"', 'kind = "routine"', "for days of a stay or for one scale"),
    ("schedules.toml", "stay_day_from = 28", "stay_day_from = 62", "comes after stay_day_to"),
    ("schedules.toml", "every_stay_days = 62", "every_stay_days = 62\nwithin_days = 7", "or every_stay_days"),
    ("schedules.toml", "every_stay_days = 62", "every_stay_days = 0", "due before it begins"),
    ("severities.toml", 'id = "soon"', 'id = "later"', "severity]] soon is missing"),
    ("severities.toml", "days = []", 'days = ["2026-12-25"]', "is not a list of days"),
    ("severities.toml", "[defaults]", '[defaults]\nlabel = "x"', "[defaults] may hold"),
    ("measures.toml", 'id = "prevalence"', 'id = "prevalences"', "measure]] prevalence is missing"),
    ("measures.toml", "per = 1000", "per = 0", "per is 1 for a proportion"),
    ("measures.toml", "per = 1\n", "per = 100\n", "per is 1 for a proportion"),
    ("measures.toml", 'good = "down"', 'good = "low"', "good has an unknown word"),
    ("measures.toml", 'id = "steady"', 'id = "trend"', "signal]] steady is missing"),
    ("measures.toml", "points = 2\nout_of = 3", "points = 4\nout_of = 3", "points is not between 1 and out_of"),
    ("measures.toml", "beyond_sigmas = 3\n", "", "beyond_sigmas is missing"),
    ("transitions.toml", 'stage_1 = "allowed"\n', "", "does not say what a step to stage_1 is"),
    ("transitions.toml", 'stage_1 = "allowed"', 'stage_1 = "fine"', "the step to stage_1 has an unknown word"),
    ("transitions.toml", 'stage_1 = "allowed"', 'stage_1 = "allowed"\nstage_5 = "allowed"', "no look says stage_5"),
    ("transitions.toml", 'id = "mucosal"', 'id = "mucosa"', "transition]] mucosal is missing"),
    ("labels.toml", 'female = "woman"', 'female = " "', "code female has no words"),
    ("fit.toml", "amount = 14", "amount = true", "amount is not a number"),
    ("rules/upkeep.toml", 'severity = "soon"', 'severity = "now"', "severity is not known"),
    ("rules/upkeep.toml", 'family = "upkeep"', 'family = "other"', "family has an unknown word"),
    ("rules/upkeep.toml", 'about = "loan"', 'about = "bed"', "about has an unknown word"),
    ("rules/upkeep.toml", "service_days = 365", 'service_days = "365"', "parameter service_days is no number"),
    ("rules/upkeep.toml", "service_days = 365", "service_days = 365\nweight_age_days = 5", "stands in another block"),
    ("rules/safety.toml", "never_softened = true\n", "", "can be softened"),
    ("rules/upkeep.toml", 'id = "service_overdue"', 'id = "service-overdue"', "the id is no plain word"),
    ("rules/upkeep.toml", '{n} of {of} powered', "{n} of 88 powered", "service_sentence needs {n} and {of}"),
    ("rules/upkeep.toml", 'list = "equipment"', 'list = "stock"', "list has an unknown word"),
    ("rules/upkeep.toml", 'mends = "service"', 'always_in_rows = true', "no room for a service_sentence"),
    ("rules/upkeep.toml", 'clears = "days_since_service"\n', "", "clears is missing"),
    ("rules/safety.toml", "never_softened = true", 'never_softened = true\nsoftened_by = ["comfort_first"]',
     "never softened, and softened_by lists something"),
    ("rules/under_provision.toml", '"declined_lying"', '"declined"', "nothing is softened by declined"),
    ("rules/under_provision.toml", '["bed_std_high_risk", "deep', '["bed_std", "deep', "subsumes bed_std"),
    ("rules/under_provision.toml", '["bed_std_high_risk", "deep', '["deep_wound_on_foam", "deep', "in a circle"),
    ("rules/under_provision.toml", '["bed_std_high_risk", "deep', '["bed_std_with_wound", "deep', "in a circle"),
]  # fmt: skip


def write(folder, name, text):
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


@pytest.mark.parametrize(("name", "found", "replaced", "said"), SPOILED)
def test_spoiled_policy_is_refused(tmp_path, name, found, replaced, said):
    text = (policy_dir() / name).read_text(encoding="utf-8")
    assert found in text, "the shipped file has changed: this case spoils nothing"
    write(tmp_path, name, text.replace(found, replaced, 1))
    with pytest.raises(PolicyUnsound, match=re.escape(said)) as refusal:
        load(tmp_path)
    assert f"workspace policy/{name}" in str(refusal.value) or "scales/norton.toml" in str(refusal.value)
    assert refusal.value.todo
    assert refusal.value.exit_code == 10


@pytest.mark.parametrize("name", ["clases.toml", "scale.toml", "rules/own/rule.toml"])
def test_a_file_that_replaces_nothing_is_refused(tmp_path, name):
    write(tmp_path, name, "")
    with pytest.raises(PolicyUnsound, match="no policy file is called that"):
        load(tmp_path)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[switch_off]\nrules = ["no_such_rule"]\nwhy = "x"', "names no_such_rule"),
        ('[switch_off]\nrules = ["service_overdue"]', "why is missing"),
        ('[[parameter]]\nid = "no_such_number"\namount = 1', "no parameter is called that"),
        ('[[severity]]\nid = "urgent"', "no block is called [[severity]]"),
    ],
)
def test_a_local_file_that_names_nothing_is_refused(tmp_path, text, said):
    write(tmp_path, "local.toml", text)
    with pytest.raises(PolicyUnsound, match=re.escape(said)):
        load(tmp_path)


def test_switching_off_belongs_into_the_local_file(tmp_path):
    text = (policy_dir() / "fit.toml").read_text(encoding="utf-8")
    write(tmp_path, "fit.toml", text + '\n[switch_off]\nrules = []\nwhy = "x"\n')
    with pytest.raises(PolicyUnsound, match="does not belong here"):
        load(tmp_path)


def test_a_rule_file_of_its_own_is_taken(tmp_path):
    write(tmp_path, "rules/own.toml", RULE)
    assert "own_rule" in {block.id for block in load(tmp_path).blocks}


def test_a_rule_does_not_inherit_its_source(tmp_path):
    spoiled = RULE.replace('source = "Ours"\n', "")
    write(tmp_path, "rules/own.toml", '[defaults]\nsource = "Everything here"\n' + spoiled)
    with pytest.raises(PolicyUnsound, match="block own_rule: source is missing"):
        load(tmp_path)


def test_the_same_rule_in_two_files_is_refused(tmp_path):
    write(tmp_path, "rules/own.toml", RULE)
    write(tmp_path, "rules/own_again.toml", RULE)
    with pytest.raises(PolicyUnsound, match=r"the first is in rules/own\.toml"):
        load(tmp_path)


def test_a_message_holds_no_machine_path(tmp_path):
    write(tmp_path, "fit.toml", "[[parameter")
    with pytest.raises(PolicyUnsound) as refusal:
        load(tmp_path)
    assert str(tmp_path) not in str(refusal.value)
