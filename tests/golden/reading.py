"""The ten people as they stand in the document: what an export sends of each, and what is expected of each."""

import re
from dataclasses import dataclass
from pathlib import Path

DOCUMENT = Path(__file__).with_name("golden_ten.md")
ID_COLUMNS = {
    "clients": "client_id", "placements": "placement_id", "assessments": "assessment_id",
    "circumstances": "circumstances_id", "injuries": "injury_observation_id", "loans": "loan_id",
    "actions": "action_id", "merges": "old_client_id",
}  # fmt: skip
ITEMS = {
    "braden": ("sensory_perception", "moisture", "activity", "mobility", "nutrition", "friction_shear"),
    "norton": ("physical_condition", "mental_condition", "activity", "mobility", "incontinence"),
}
SIGHTINGS = {
    "state_seen_on": "2026-02-16", "in_use": "true", "cover_condition": "sound", "bottoming_check": "pass",
    "bottoming_method": "hand", "bottoming_checked_on": "2026-02-16", "power_leads_safe": "true",
    "fitted_correctly": "true", "leak_seen": "false", "cover_opened_on": "2026-02-16", "made_on": "2025-06-01",
    "device_id": "D-1", "skin_checked_on": "2026-02-16", "justification_recorded": "true",
}  # fmt: skip

THE_REST = {
    "height_cm": "165", "bed_width_cm": "100", "transfers": "assisted", "turning_interval_h": "4", "commode_min": "5",
    "seat_tilts": "true", "head_of_bed_deg": "20", "linen_layers": "1", "sits_up_in_bed_min": "10", "moisture": "dry",
    "carers_know_deflate": "true",
    **dict.fromkeys((
        "posture_asymmetry", "head_up_reason", "plastic_backed_pad", "sling_left_under", "ring_device",
        "rehab_goal_mobility", "cannot_keep_off_injury", "cold_discomfort", "noise_discomfort", "motion_discomfort",
        "home_oxygen", "electric_blanket", "for_resuscitation", "confused_or_restless", "fluid_balance_risk",
        "lung_disease",
    ), "false"),
}  # fmt: skip


@dataclass(frozen=True)
class Person:
    """One section of the document: the tables by the word in their first cell, each a list of rows of cells."""

    client_id: str
    tables: dict[str, list[list[str]]]
    says_no_other_finding: bool
    says_nothing_unknown: bool

    def records(self) -> list[tuple[str, dict[str, str]]]:
        """(feed, row) for each record that is sent, with `received` among its cells."""
        found = []
        for feed, id_column in ID_COLUMNS.items():
            for record_id, cells in columns_of(self.tables.get(feed, [])):
                found.append((feed, {"client_id": self.client_id, id_column: record_id} | _written_out(cells)))
        return found

    def expected(self, name: str) -> dict[str, dict[str, str]]:
        """A table with one column for each thing, by that thing."""
        return dict(columns_of(self.tables.get(name, [])))

    def rows(self, name: str) -> list[dict[str, str]]:
        """A table with one row for each thing."""
        head, *body = self.tables.get(name) or [[]]
        return [dict(zip(head, cells, strict=True)) for cells in body]


def people() -> list[Person]:
    """All people of the document, in its order."""
    sections = re.split(r"^## ", DOCUMENT.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]
    return [_person(section) for section in sections]


def columns_of(table: list[list[str]]) -> list[tuple[str, dict[str, str]]]:
    """(heading, cells by the word at the left) for each column of a table but the first."""
    if not table:
        return []
    head, *body = table
    return [(name, {row[0]: row[at] for row in body}) for at, name in enumerate(head[1:], 1)]


def _person(section: str) -> Person:
    tables: dict[str, list[list[str]]] = {}
    for block in re.findall(r"(?:^\|.*\n)+", section, flags=re.MULTILINE):
        head, rule, *body = ([cell.strip() for cell in line.strip("|").split("|")] for line in block.splitlines())
        assert set("".join(rule)) == {"-"}, f"a table without a line under its heading: {head}"
        assert head[0] not in tables, f"two tables of {head[0]} in one section"
        tables[head[0]] = [head, *body]
    return Person(
        client_id=section.split(" ", 1)[0],
        tables=tables,
        says_no_other_finding=bool(re.search(r"^No (other )?finding\.", section, flags=re.MULTILINE)),
        says_nothing_unknown="Nothing is unknown." in section,
    )


def _written_out(cells: dict[str, str]) -> dict[str, str]:
    """The cells as an export has them: items in columns of their own, the shared sightings in full."""
    row = dict(cells)
    items = row.pop("items", None)
    if items is not None:
        scores = zip(ITEMS[row["scale"]], items.split(), strict=True)
        row |= {item: "" if score == "-" else score for item, score in scores}
    if row.pop("sightings", None) == "yes":
        row = SIGHTINGS | {name: cell for name, cell in row.items() if cell}
    if row.pop("the rest", None) == "well":
        # A cell that is left blank was not asked.
        row = THE_REST | row
    return row
