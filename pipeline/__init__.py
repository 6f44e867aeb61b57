"""Caseload risk review for pressure care: exports in, checked store, warehouse, audit pages out."""

__version__ = "0.1.0"
