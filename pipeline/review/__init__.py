"""Store to warehouse: the relations in their order, the checks on them, and the swap of the published file."""
