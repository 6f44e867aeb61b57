"""audit.verdicts: the one relation whose SELECT is not a file but is compiled from the rules in force."""

from pipeline.review.graph import Relation, relation_from_text

VERDICTS = "audit.verdicts"

# Kept in step with a test that builds the generated relation and compares its columns with these.
VERDICTS_HEADER = """\
-- question: Which rules are true, or cannot be told, for whom?
-- grain:    one row per rule and subject whose verdict is true or unknown; a clear verdict leaves no row
-- key:      rule, client_id, loan_id?, injury_id?
-- inputs:   state.clients, state.injuries, state.loans
-- beware:   a verdict without a value means that facts were missing, which is never the same as clear
-- columns:
--   rule              id       the rule
--   about             code client|injury|loan    what the rule speaks about
--   client_id         id       the person
--   loan_id           id       the loan, for a rule about a loan
--   injury_id         id       the injury, for a rule about an injury
--   verdict           boolean  true is a finding; no value means it cannot be told
--   evidence          text     every column that the rule names, with its value
--   missing_columns   text     the columns without a value that keep the verdict open, joined by semicolons
--   since_on          date     the day since when it is so, as far as the evidence says
--   could_apply       integer  how many subjects the rule could be true for; the same on every row of a rule
"""

EMPTY_VERDICTS = """\
SELECT CAST(NULL AS VARCHAR) AS rule, CAST(NULL AS VARCHAR) AS about, CAST(NULL AS VARCHAR) AS client_id,
    CAST(NULL AS VARCHAR) AS loan_id, CAST(NULL AS VARCHAR) AS injury_id, CAST(NULL AS BOOLEAN) AS verdict,
    CAST(NULL AS VARCHAR) AS evidence, CAST(NULL AS VARCHAR) AS missing_columns, CAST(NULL AS DATE) AS since_on,
    CAST(NULL AS INTEGER) AS could_apply
WHERE FALSE
"""


def verdicts_relation(sql: str) -> Relation:
    """The relation for a compiled SELECT."""
    return relation_from_text(VERDICTS, f"{VERDICTS_HEADER}{sql}")
