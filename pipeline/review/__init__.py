"""Store to warehouse: the relations in their order, the checks on them, and the swap of the published file."""

from pipeline.review.engine import ReviewOutcome, build, state_columns

__all__ = ["ReviewOutcome", "build", "state_columns"]
