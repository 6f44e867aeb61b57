"""Warehouse to pages: a pure function of the published warehouse into `audits/`."""

from pipeline.report.render import render

__all__ = ["render"]
