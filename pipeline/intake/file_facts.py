"""What a file's bytes are, found in one pass: their sum, and whether they are whole UTF-8 text."""

from __future__ import annotations

import codecs
import gzip
import hashlib
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from pipeline.intake.outcome import Changing, Refused

BLOCK = 1 << 20
TEXT_SUFFIXES = (".csv", ".tsv", ".txt", "")


@dataclass(frozen=True)
class Stamp:
    """How a file looked at one moment; another stamp later means that somebody is writing it."""

    size: int
    mtime_ns: int
    inode: int


def stamp(path: Path) -> Stamp:
    """The file's stamp now. Raises Changing when it is gone."""
    try:
        now = path.stat()
    except FileNotFoundError:
        raise Changing from None
    return Stamp(now.st_size, now.st_mtime_ns, now.st_ino)


def sha256_of(path: Path) -> str:
    """64 hex digits of the file's bytes."""
    with path.open("rb") as content:
        return hashlib.file_digest(content, "sha256").hexdigest()


def is_compressed(path: Path) -> bool:
    """Whether the file's name says gzip."""
    return path.suffix.lower() == ".gz"


def check_text(path: Path) -> None:
    """Raise Refused unless the file is whole text in UTF-8 with something in it.

    A quotation mark that is opened and never closed swallows every row after it without a trace, so the marks are
    counted: a sound file has an even number of them.
    """
    suffix = path.with_suffix("").suffix if is_compressed(path) else path.suffix
    if suffix.lower() not in TEXT_SUFFIXES and path.stat().st_size:
        raise Refused("unreadable")
    try:
        with gzip.open(path) if is_compressed(path) else path.open("rb") as content:
            has_text, quotes = _scan(content)
    except UnicodeDecodeError:
        raise Refused("not_utf8") from None
    except (OSError, EOFError, zlib.error):
        raise Refused("empty_file" if not path.stat().st_size else "unreadable") from None
    if not has_text:
        raise Refused("empty_file")
    if quotes % 2:
        raise Refused("unreadable")


def _scan(content: BinaryIO) -> tuple[bool, int]:
    decoder = codecs.getincrementaldecoder("utf-8-sig")()
    has_text, quotes = False, 0
    while block := content.read(BLOCK):
        if b"\0" in block:
            # Text holds no zero bytes: this is UTF-16 or not text at all.
            raise Refused("not_utf8")
        text = decoder.decode(block)
        has_text = has_text or bool(text.strip())
        quotes += block.count(b'"')
    decoder.decode(b"", final=True)
    return has_text, quotes
