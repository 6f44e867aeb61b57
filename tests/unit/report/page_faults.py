"""What must hold for every page, read with the standard parser: the faults of a page as a list of sentences."""

import re
from html.parser import HTMLParser

POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
NEVER = {"iframe", "object", "embed", "link", "script", "form", "base", "img"}
HEADINGS = {"h1", "h2", "h3", "h4", "h5", "h6"}
# Words that a program says when it has nothing to say.
MACHINE_WORDS = re.compile(r"\b(NaN|NaT|None|null|NULL|undefined|N/A)\b")
# A code with underscores is not a word, unless it names the relation or file where an analyst finds the figure.
CODE = re.compile(r"(?<![\w./-])[a-z]+(?:_[a-z0-9]+)+(?![\w./-])")
VOID = {"meta", "br", "hr", "input", "link", "img", "base", "col"}


def faults_of(page: str) -> list[str]:
    """Everything that is wrong with a page, in reading order; an empty list is a sound page."""
    reader = _Reader()
    reader.feed(page)
    reader.close()
    return reader.faults + reader.faults_at_end()


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.faults: list[str] = []
        self.open: list[str] = []
        self.ids: list[str] = []
        self.wanted_ids: list[str] = []
        self.levels: list[int] = []
        self.lang = self.policy = self.title = None
        self.titles = self.mains = 0
        self.captions: list[bool] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = dict(attrs)
        if tag not in VOID:
            self.open.append(tag)
        if tag in NEVER:
            self.faults.append(f"has a <{tag}>")
        if any(name.startswith("on") for name in said):
            self.faults.append(f"<{tag}> has a script attribute")
        self._identity(tag, said)
        if tag in HEADINGS:
            self._heading(int(tag[1]))
        if tag == "table":
            self.captions.append(False)
        if tag == "caption":
            self.captions[-1] = True
        if tag == "th" and said.get("scope") not in ("col", "row"):
            self.faults.append("a <th> has no scope")
        if tag == "svg" and not (said.get("role") == "img" and (said.get("aria-label") or said.get("aria-labelledby"))):
            self.faults.append("an <svg> has no role or label")
        self._document(tag, said)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}> closes something else")
        if tag == "table" and not self.captions.pop():
            self.faults.append("a <table> has no caption")
        if tag in ("td", "th") and self.text and self.text[-1] == f"<{tag}>":
            self.faults.append(f"a <{tag}> is empty")

    def handle_data(self, data: str) -> None:
        if not self.open or self.open[-1] in ("style", "title"):
            return
        # What one types is shown as it is typed; it still fills its cell.
        if self.open[-1] in ("code", "pre"):
            data = "typed"
        if data.strip():
            self.text.append(data)

    def _identity(self, tag: str, said: dict[str, str | None]) -> None:
        if "id" in said:
            if said["id"] in self.ids:
                self.faults.append(f"the id {said['id']} stands twice")
            self.ids.append(said["id"] or "")
        for name in ("aria-labelledby", "aria-describedby"):
            self.wanted_ids += (said.get(name) or "").split()
        for name in ("href", "src"):
            where = said.get(name)
            if where is None or where.startswith("data:"):
                continue
            if where.startswith("#"):
                self.wanted_ids.append(where[1:])
            elif re.match(r"[a-z+]+:|//", where) or where.startswith("/"):
                self.faults.append(f"<{tag}> points outside: {where}")
        if tag in ("td", "th"):
            self.text.append(f"<{tag}>")

    def _heading(self, level: int) -> None:
        if level > (self.levels[-1] if self.levels else 0) + 1:
            self.faults.append(f"<h{level}> skips a level")
        self.levels.append(level)

    def _document(self, tag: str, said: dict[str, str | None]) -> None:
        if tag == "html":
            self.lang = said.get("lang")
        if tag == "meta" and said.get("http-equiv") == "Content-Security-Policy":
            self.policy = said.get("content")
        self.titles += tag == "title" and "svg" not in self.open
        self.mains += tag == "main"

    def faults_at_end(self) -> list[str]:
        text = " ".join(part for part in self.text if part not in ("<td>", "<th>"))
        checks = (
            (self.lang == "en-GB", "no lang"),
            (self.policy == POLICY, "no content security policy, or another one"),
            (self.titles == 1, "not one title"),
            (self.mains == 1, "not one main"),
            (self.levels.count(1) == 1, "not one h1"),
            (not self.open, f"left open: {self.open}"),
            ("Not an alarm system" in " ".join(self.text[:2]), "does not begin by saying that it is no alarm system"),
        )
        faults = [fault for holds, fault in checks if not holds]
        faults += [f"nothing has the id {wanted}" for wanted in self.wanted_ids if wanted not in self.ids]
        faults += [f"says {word}" for word in sorted(set(MACHINE_WORDS.findall(text)))]
        named = re.sub(r"\([a-z_., ]+\)", "", text)
        return faults + [f"shows the code {code}" for code in sorted(set(CODE.findall(named)))]
