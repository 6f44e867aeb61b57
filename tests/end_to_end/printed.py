"""A page as its reader sees it: tables by their captions, and the words around them, to be taken off one by one."""

import re
from dataclasses import dataclass
from html import unescape

_TABLE = re.compile(r"<table\b.*?</table>", re.DOTALL)
_ROW = re.compile(r"<tr\b.*?</tr>", re.DOTALL)
_CELL = re.compile(r"<t[hd]\b[^>]*>(.*?)</t[hd]>", re.DOTALL)


def words_of(part: str) -> str:
    """No style, no tags, single spaces."""
    part = re.sub(r"<(style|title|desc|defs)\b.*?</\1>", " ", part, flags=re.DOTALL)
    words = re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", part)).replace("\xa0", " "))
    return re.sub(r" (?=[.,;:)])", "", words).strip()


@dataclass
class Printed:
    """`tables`: caption to rows of cells, headings first. `words`: all else that can be read, pictures included."""

    tables: dict[str, list[list[str]]]
    words: str

    @classmethod
    def of(cls, page: str) -> "Printed":
        body = page.partition("<body>")[2]
        tables = {}
        for table in _TABLE.findall(body):
            caption = words_of(table.partition("<caption")[2].partition(">")[2].partition("</caption>")[0])
            assert caption not in tables, caption
            tables[caption] = [[words_of(cell) for cell in _CELL.findall(row)] for row in _ROW.findall(table)]
        return cls(tables, words_of(_TABLE.sub(" ", body)))

    def table(self, beginning: str) -> list[list[str]]:
        """The rows under the heading of the one table whose caption begins so; it counts as read from now on."""
        [caption] = [caption for caption in self.tables if caption.startswith(beginning)]
        return self.tables.pop(caption)[1:]

    def says(self, sentence: str) -> None:
        """This stands in the words, and it is taken off so that what nobody asked about is left."""
        assert sentence in self.words, sentence
        self.words = self.words.replace(sentence, " ", 1)

    def unread(self) -> list[str]:
        """Every figure that nothing has been compared with, with some words around it, and every table."""
        return [*self.tables, *re.findall(r"\S* ?\S* ?\S*\d\S*", self.words)]


def counted(amount: int, one: str, many: str) -> str:
    """A number with its word."""
    return f"{amount:,} {one if amount == 1 else many}"


def cells(*values: int | str) -> list[str]:
    """Values as they stand in a row."""
    return [f"{value:,}" if isinstance(value, int) else value for value in values]
