"""What one call of intake did with each file of the inbox."""

from __future__ import annotations

from dataclasses import dataclass, field

from pipeline.feeds.reasons import REASONS, Reason

STATUSES = ("taken", "known", "refused", "too_many_held", "changing")


@dataclass(frozen=True)
class FileOutcome:
    """One file of the inbox.

    `status` is one of STATUSES; `code` is the refusal's reason, None for any other status; the counts are rows, 0 where
    none were read; `columns` and `row` say where a refusal's reason was first seen, as headings and a spreadsheet row.
    """

    file_name: str
    feed: str | None
    source: str
    status: str
    code: str | None = None
    rows_read: int = 0
    accepted: int = 0
    held: int = 0
    held_by_code: dict[str, int] = field(default_factory=dict)
    columns: tuple[str, ...] = ()
    row: int | None = None

    @property
    def message(self) -> str:
        """One line for a person, without a cell's value: what happened, how big, what was done, who mends it."""
        if self.code is not None:
            return self._refusal(REASONS[self.code])
        if self.status == "changing":
            return f"{self.file_name}: it changed while being read. Nothing was taken in; the next run reads it."
        held = "".join(f", {count} {code}" for code, count in sorted(self.held_by_code.items()))
        read = f"{self.file_name}: {self.rows_read} rows of {self.feed}"
        return f"{read}, {self.accepted} taken in, {self.held} held{held}."

    def _refusal(self, reason: Reason) -> str:
        where = f" in {', '.join(self.columns)}" if self.columns else ""
        where += f", first in row {self.row}" if self.row is not None else ""
        size = f" {self.held} of {self.rows_read} rows failed." if self.held else ""
        return (
            f"{self.file_name}: {reason.title.lower()} ({reason.code}){where}.{size} {reason.meaning} "
            f"Nothing was taken in and the file is untouched; the {reason.mended_by} mends it."
        )


@dataclass(frozen=True)
class IntakeOutcome:
    """Every file of the inbox, by name, and then readings that were judged again without their file."""

    files: tuple[FileOutcome, ...]


class Refused(Exception):
    """Raised while a file is read: it cannot be taken in, for a reason from the table. Never leaves intake."""

    def __init__(
        self, code: str, *, columns: tuple[str, ...] = (), row: int | None = None, rows_read: int = 0, held: int = 0,
        held_by_code: dict[str, int] | None = None,
    ) -> None:  # fmt: skip
        super().__init__(code)
        self.code = code
        self.columns = columns
        self.row = row
        self.rows_read = rows_read
        self.held = held
        self.held_by_code = held_by_code or {}


class Changing(Exception):
    """Raised while a file is read: somebody is still writing it. Never leaves intake."""
