"""The built wheel holds everything the program opens at run time."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def test_wheel_holds_fonts_data_and_template(tmp_path: Path) -> None:
    builder = pytest.importorskip("hatchling.builders.wheel", reason="hatchling is not installed; pip builds with it")
    wheel = next(iter(builder.WheelBuilder(str(ROOT)).build(directory=str(tmp_path), versions=["standard"])))
    names = set(zipfile.ZipFile(wheel).namelist())
    source = {str(p.relative_to(ROOT / "src")) for p in (ROOT / "src" / "stubout").rglob("*") if p.is_file()}
    wanted = {n for n in source if not n.endswith(".pyc") and "__pycache__" not in n}
    assert wanted <= names
    for said in (
        "stubout/fonts/DejaVuSans.ttf",
        "stubout/export/packet.typ",
        "stubout/demo/demo.yaml",
        "stubout/py.typed",
    ):
        assert said in names
    assert any(n.startswith("stubout/rulebooks/data/") and n.endswith(".toml") for n in names)
    assert not any(n.startswith("tests/") for n in names)
