"""The clinical policy: TOML files that a clinical lead can read and sign, and the code that loads and checks them.

No number that decides anything about a person stands in Python: it stands here, in a block with its own source.
"""

from pipeline.policy.loader import load
from pipeline.policy.model import Block, Policy, Rule
from pipeline.policy.rule_grammar import Statement, StatementRefused, parse_statement

__all__ = ["Block", "Policy", "Rule", "Statement", "StatementRefused", "load", "parse_statement"]
