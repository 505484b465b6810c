"""The SVG writer, read back by an XML parser."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from stubout.export import svg as writer
from stubout.sheets.model import A4, LETTER, Circle, Line, Sheet, Style, Text
from stubout.sheets.titleblock import CAUTION, TitleBlock

NS = "{http://www.w3.org/2000/svg}"
BLOCK = TitleBlock(
    job='Job & <house> "1"',
    address="1 Sample Road, Anytown (invented)",
    permit="P-0 (dummy)",
    revision="C",
    issued="2030-01-15",
    book="Example Plumbing Code 2030",
    page=3,
    pages=12,
    unverified=2,
    amendments=1,
)


def _sheet() -> Sheet:
    items = (
        Line(((10.0, 50.0), (60.0, 50.0)), Style("heavy", tint="drain"), "pipe:D1"),
        Line(((10.0, 60.0), (60.0, 60.0)), Style("thick", "dashed", "vent"), "pipe:V1"),
        Line(((70.0, 50.0), (90.0, 50.0), (90.0, 70.0)), Style("thin", fill="hatch"), "obstacle", True),
        Circle((100.0, 100.0), 2.345678, Style("medium", fill="white"), "stub:KS"),
        Text((20.0, 80.0), "5'-11 3/8\" & <b>", 9.0, "label", halo=True),
        Text((30.0, 90.0), "406", 9.0, "station", "end", 90.0),
        Line(((10.0, 55.0), (60.0, 55.0)), Style(), "pipe:D1"),
    )
    return Sheet("wall-M-P-L", 'Wall "M-P" & left', "1:20", LETTER, items, ("Note <1>.",))


def test_size_is_physical_and_one_unit_a_millimetre() -> None:
    root = ET.fromstring(writer.svg(_sheet()))
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("279.4mm", "215.9mm", "0 0 279.4 215.9")


@pytest.mark.parametrize("block", [None, BLOCK])
def test_ids_are_unique(block: TitleBlock | None) -> None:
    root = ET.fromstring(writer.svg(_sheet(), block))
    ids = [e.get("id") for e in root.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    assert all(str(i).startswith("wall-M-P-L-") for i in ids)


def test_words_survive_escaping() -> None:
    root = ET.fromstring(writer.svg(_sheet(), BLOCK))
    texts = [e.text for e in root.iter(f"{NS}text")]
    assert "5'-11 3/8\" & <b>" in texts
    assert 'Job & <house> "1"' in texts


def test_title_block_says_all_it_must() -> None:
    root = ET.fromstring(writer.svg(_sheet(), BLOCK))
    words = " ".join(e.text or "" for e in root.iter(f"{NS}text"))
    for part in (
        BLOCK.address, BLOCK.permit, "Revision C, issued 2030-01-15", "Example Plumbing Code 2030, 1 amendment",
        "Page 3 of 12", "Scale 1:20", CAUTION, "2 values are unverified",
    ):  # fmt: skip
        assert part in words
    assert "approved" not in words.lower()


def test_a_missing_permit_is_said_to_be_missing() -> None:
    blank = TitleBlock("J", "", "", "", "", "B", 1, 1)
    words = writer.svg(_sheet(), blank)
    assert "Permit: not given" in words
    assert "issued not given" in words


def test_paper_is_turned_upside_once() -> None:
    root = ET.fromstring(writer.svg(_sheet()))
    circle = root.find(f".//{NS}circle")
    assert circle is not None
    assert (circle.get("cx"), circle.get("cy"), circle.get("r")) == ("100", "115.9", "2.35")
    turned = next(e for e in root.iter(f"{NS}text") if e.text == "406")
    assert turned.get("transform") == "rotate(-90 30 125.9)"
    assert turned.get("text-anchor") == "end"


def test_the_drawing_is_the_same_with_and_without_block() -> None:
    bare = writer.svg(_sheet()).split("</svg>")[0]
    assert writer.svg(_sheet(), BLOCK).startswith(bare.rsplit("</g>", 1)[0])


def test_weights_and_dashes() -> None:
    root = ET.fromstring(writer.svg(_sheet()))
    drain, vent = list(root.iter(f"{NS}polyline"))[:2]
    assert (drain.get("stroke-width"), drain.get("stroke-dasharray")) == ("0.8", None)
    assert (vent.get("stroke-width"), vent.get("stroke-dasharray")) == ("0.5", "3 1.5")
    assert min(writer.WEIGHT_MM.values()) == 0.13
    assert max(writer.WEIGHT_MM.values()) == 0.8


def _luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour, by IEC 61966-2-1."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_tints_print_dark_on_a_mono_printer() -> None:
    for name, colour in writer.TINT.items():
        if name not in ("white", "light"):
            assert _luminance(colour) < 0.1, name
    assert _luminance(writer.TINT["light"]) < 0.25


def test_greys_differ_from_white_and_from_each_other() -> None:
    light, grey = _luminance(writer.FILL["light"]), _luminance(writer.FILL["grey"])
    assert light < 0.8
    assert grey < light - 0.25


def test_same_input_same_bytes_and_two_decimals() -> None:
    once = writer.svg(_sheet(), BLOCK)
    assert once == writer.svg(_sheet(), BLOCK)
    root = ET.fromstring(once)
    for e in root.iter():
        for key in ("x", "y", "cx", "cy", "r", "font-size", "stroke-width"):
            value = e.get(key)
            if value is not None:
                assert len(value.partition(".")[2]) <= 2
                assert value != "-0"


def test_note_and_title_are_in_the_description() -> None:
    root = ET.fromstring(writer.svg(_sheet()))
    assert root.findtext(f"{NS}title") == 'Wall "M-P" & left'
    assert root.findtext(f"{NS}desc") == "Scale: 1:20. Note <1>."


def test_a_sheet_without_items_is_still_a_page() -> None:
    root = ET.fromstring(writer.svg(Sheet("empty", "Empty", "not to scale", A4, ())))
    assert root.tag == f"{NS}svg"
