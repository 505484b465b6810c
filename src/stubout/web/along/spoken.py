"""The scripts and the style of the file, put together from their parts; and every label that the script speaks."""

from __future__ import annotations

import base64
import json
import re
import zlib
from functools import lru_cache
from importlib.resources import files
from typing import Final

PARTS: Final = (
    "reading.js",
    "judging.js",
    "keeping.js",
    "pictures.js",
    "sides.js",
    "form.js",
)  # in this folder, in the order they need each other
_SAID: Final = re.compile(r'\bt\(("(?:[^"\\]|\\.)*")')
_FONT: Final = re.compile(r"^@font-face .*\n", re.MULTILINE)  # a file has no fonts beside it


def _own(name: str) -> str:
    return files("stubout.web.along").joinpath(name).read_text(encoding="utf-8")


def _static(name: str) -> str:
    return files("stubout.web").joinpath("static", name).read_text(encoding="utf-8")


@lru_cache(maxsize=1)
def script() -> str:
    """Return the script of the file: the keypad and the photos of the app, and what reads, judges and keeps entries."""
    own = "\n".join(_own(name) for name in PARTS)
    return f'{_static("field.js")}\n{_static("photos.js")}\n"use strict";\n(() => {{\n{own}\n}})();\n'


@lru_cache(maxsize=1)
def viewer() -> str:
    """Return the second script of the file, run when its part is opened: that of the page from all sides."""
    return f"{_static('three.min.js')}\n{_static('model.js')}"


def packed(data: bytes) -> str:
    """Return bytes as text that the file unpacks: zlib (RFC 1950), then base64."""
    return base64.b64encode(zlib.compress(data, 9)).decode()


@lru_cache(maxsize=1)
def packed_viewer() -> str:
    """Return the second script, packed."""
    return packed(viewer().encode())


@lru_cache(maxsize=1)
def style() -> str:
    """Return the style of the file: that of the app without its fonts, and its own."""
    return f"{_FONT.sub('', _static('field.css'))}\n{_static('model.css')}\n{_own('file.css')}"


def said_in(source: str) -> tuple[str, ...]:
    """Return the labels that a script speaks, in the order they stand."""
    return tuple(dict.fromkeys(json.loads(w) for w in _SAID.findall(source)))


SCRIPT_WORDS: Final = said_in("\n".join(_own(name) for name in PARTS))
