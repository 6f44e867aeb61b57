"""Warehouse to pages: a pure function of the published warehouse into `audits/`, and the answer for one person."""

from pipeline.report.explain import explain
from pipeline.report.render import render

__all__ = ["explain", "render"]
