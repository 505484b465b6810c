"""Inputs that once ended badly, made small: each is refused now with the sentence below, or read."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest
from judge import ACCEPTED, FAILED, REFUSED, judge

from stubout.job.starter import starter_text

FOUND: Final = Path(__file__).parent / "found"
# file -> a part of what is said of it, "" where there is nothing to refuse
SAID: Final = {
    # the line behind the last one was named
    "ends-in-a-key": ':2: file: found a line without `key:` at "wal"',
    # reached the sheets, being an escape in the text and a character only after reading
    "escaped-control-character": ":3: file: found the unprintable character U+0000",
    "escaped-line-separator": ":3: file: found the unprintable character U+2028",
    # looked like the right word, or turned the sentence round
    "invisible-blank-in-a-reference": ':4: walls[no. 1].level: found "m<U+200B>ain", wanted a level of this job (main)',
    "reading-direction-in-a-key": ":2: climate.sno<U+202E>w: found a key that is not known here",
    # a sentence of four thousand characters; names of any length went on to the marks
    "name-without-end": f"wanted a level of this job ({'9' * 57}...)",
    "count-of-3900-digits": f".members.count: found {'9' * 57}..., wanted 1 to 1000",
    "tag-of-3900-digits": "found a name of 3900 characters, wanted a short name, of at most 60",
    # a traceback: a digit to look at, but no number
    "superscript-tag": "",
    # a tab stood in the sentence
    "tab-after-a-dash": ":3: file: found a tab",
}


@pytest.mark.parametrize("path", sorted(FOUND.glob("*.yaml")), ids=lambda p: p.stem)
def test_a_found_input_ends_well(path: Path) -> None:
    outcome = judge(path, "house")
    assert outcome.kind not in FAILED, outcome.note
    assert outcome.kind == (REFUSED if SAID[path.stem] else ACCEPTED), outcome.note
    assert SAID[path.stem] in outcome.note


def test_every_sentence_has_its_input() -> None:
    assert sorted(p.stem for p in FOUND.glob("*.yaml")) == sorted(SAID)


def test_a_street_of_houses_is_no_job(tmp_path: Path) -> None:
    # Each fixture takes the layout most of a second: two thousand of them looked like a hang.
    text = starter_text("inch")
    start = text.index("  - tag: LV1\n")
    block = text[start : text.index("  - tag: ", start + 1)]
    path = tmp_path / "job.yaml"
    path.write_text(text.replace(block, "".join(block.replace("LV1", f"LV{n}") for n in range(1, 102))))
    outcome = judge(path, "read")
    assert outcome.kind == REFUSED
    assert "fixtures: found 103 of them, wanted at most 100, those of one house." in outcome.note
