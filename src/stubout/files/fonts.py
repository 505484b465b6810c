"""Where the shipped fonts lie and what the shipped templates say."""

from __future__ import annotations

from importlib.resources import files


def font_folder() -> str:
    """Return the folder of the fonts every sheet is set with."""
    return str(files("stubout") / "fonts")


def template(name: str) -> bytes:
    """Return a template shipped beside the exporters."""
    return (files("stubout.export") / name).read_bytes()
