"""One question to the published warehouse, in SQL, within limits that no query can loosen."""

from pipeline.asking.answering import Question, answer
from pipeline.asking.limits import Limits
from pipeline.asking.running import answered

__all__ = ["Limits", "Question", "answer", "answered"]
