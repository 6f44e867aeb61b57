"""Drives a headless Chromium: what it shows at a given width, as a picture or on paper.

A page is measured from outside, in a frame of exact width: its own policy forbids it to run any script, and a window
cannot be made as narrow as a phone.
"""

import json
import os
import re
import shutil
import subprocess
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome")
QUIET = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync", "--hide-scrollbars"),
)
DARK = "--blink-settings=preferredColorScheme=0"

# Asks the frame, once it has loaded, how wide it is, what sticks out, how small its text is and what it says.
MEASURE = """<!doctype html><meta charset="utf-8"><style>body { margin: 0 }</style>
<iframe src="PAGE" width="WIDTH" height="900" style="border: 0"></iframe><pre id="answer"></pre>
<script>
addEventListener("load", () => {
  const page = document.querySelector("iframe").contentDocument, root = page.documentElement;
  const look = element => page.defaultView.getComputedStyle(element);
  const hidden = element => element.closest(".skip, thead, style, title, desc, defs") !== null;
  const inRegion = element => element.closest(".scroll") !== null;
  const all = [...page.body.querySelectorAll("*")];
  const spoken = all.filter(e => !hidden(e) && [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()));
  document.getElementById("answer").textContent = JSON.stringify({
    width: root.clientWidth, needed: root.scrollWidth,
    sticking_out: all.filter(e => !hidden(e) && !inRegion(e) && e.getBoundingClientRect().right > root.clientWidth + 1)
      .map(e => e.tagName + "." + e.getAttribute("class")),
    smallest_text: Math.min(...spoken.map(e => parseFloat(look(e).fontSize))),
    scrolled: [...page.querySelectorAll(".scroll")].filter(e => e.scrollWidth > e.clientWidth + 1)
      .map(e => e.getAttribute("aria-label")),
    ground: look(page.body).backgroundColor, sections: [...page.querySelectorAll("h2")].map(h => h.id),
    text: page.body.innerText,
  });
});
</script>"""


@dataclass(frozen=True)
class Seen:
    """A page as laid out: widths and text size in CSS pixels, `sticking_out` as tag and class.

    `scrolled`: the regions of which a part is seen only by scrolling sideways.
    """

    width: int
    needed: int
    sticking_out: list[str]
    smallest_text: float
    scrolled: list[str]
    ground: str
    sections: list[str]
    text: str


@dataclass(frozen=True)
class Browser:
    """A browser program and a folder in which each call gets a profile of its own."""

    program: str
    scratch: Path

    def measure(self, page: Path, *, width: int, dark: bool = False) -> Seen:
        """Lay the page out at a width in CSS pixels and say what it looks like."""
        frame = self.scratch / "frame.html"
        frame.write_text(MEASURE.replace("PAGE", page.as_uri()).replace("WIDTH", str(width)), encoding="utf-8")
        scheme = (DARK,) if dark else ()
        shown = self._run("--allow-file-access-from-files", f"--window-size={width + 100},1000", "--dump-dom",
                          *scheme, frame.as_uri())  # fmt: skip
        answer = re.search(r'<pre id="answer">(.+?)</pre>', shown, re.DOTALL)
        assert answer, "the page did not load"
        plain = answer[1].replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
        return Seen(**json.loads(plain))

    def dom(self, page: Path) -> str:
        """The page as the browser understood it, opened by itself under its own policy."""
        return self._run("--dump-dom", page.as_uri())

    def picture(self, page: Path, *, size: tuple[int, int], dark: bool = False) -> bytes:
        """A PNG of the top of the page."""
        png = self.scratch / "page.png"
        scheme = (DARK,) if dark else ()
        self._run(f"--window-size={size[0]},{size[1]}", f"--screenshot={png}", *scheme, page.as_uri())
        return png.read_bytes()

    def paper(self, page: Path) -> bytes:
        """The printed page as a PDF."""
        pdf = self.scratch / "page.pdf"
        self._run("--no-pdf-header-footer", f"--print-to-pdf={pdf}", page.as_uri())
        return pdf.read_bytes()

    def sheets(self, page: Path) -> int:
        """How many sheets of paper the page takes."""
        return len(re.findall(rb"/Type\s*/Page\b(?!s)", self.paper(page)))

    def _run(self, *options: str) -> str:
        profile = self.scratch / "profile"
        shutil.rmtree(profile, ignore_errors=True)
        command = [self.program, *QUIET, f"--user-data-dir={profile}", *options]
        return subprocess.run(command, capture_output=True, text=True, timeout=120, check=True).stdout


def hard_to_read(seen: Seen, *, width: int, sections: Collection[str] = ()) -> list[str]:
    """What keeps a page of that width in CSS pixels from being read whole; empty when nothing does.

    `sections` must be there. 16 px is the default size of browsers: below it a page chose to be smaller (common
    practice, no source).
    """
    faults = [f"sticks out: {element}" for element in seen.sticking_out]
    faults += [f"{seen.width} wide"] if seen.width != width else []
    faults += [f"needs {seen.needed}"] if seen.needed > width else []
    faults += [f"text of {seen.smallest_text}"] if seen.smallest_text < 16 else []
    faults += [f"no {section}" for section in sorted(set(sections) - set(seen.sections))]
    return faults + ([] if "Not an alarm system." in seen.text else ["the first line is missing"])


def find_program() -> str | None:
    """The path of an installed browser, or None."""
    return next((path for name in NAMES if (path := shutil.which(name))), None)


# On a developer's machine a browser is optional; where changes are judged a missing one fails.
IN_A_BROWSER = [
    pytest.mark.browser,
    pytest.mark.skipif(find_program() is None and os.environ.get("CI") != "true", reason="no browser on this machine"),
]
