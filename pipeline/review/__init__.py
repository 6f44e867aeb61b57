"""Store to warehouse: the relations in their order, the checks on them, and the swap of the published file."""

from pipeline.review.engine import build, state_columns

__all__ = ["build", "state_columns"]
