"""Reads the shipped catalogue data (TOML) into the typed, frozen `Catalog`."""

from __future__ import annotations

import tomllib
from dataclasses import fields, is_dataclass
from fractions import Fraction
from functools import cache
from importlib import resources
from typing import Any

from stubout.catalog.costs import ANY, CostRow, Costs, PlaceFactor
from stubout.catalog.model import (
    MM_PER_INCH,
    Catalog,
    Dim,
    Figure,
    HubData,
    Lumber,
    Pattern,
    PipeData,
    Reducing,
    size_text,
)
from stubout.problems import Basis, CatalogError, Status

KG_PER_M_FROM_LB_PER_FT = 1.48816394
PLACES = 9  # decimals kept, so that the written constant equals what is read


@cache
def load_catalog() -> Catalog:
    """Return the catalogue as shipped; the job's measurements are laid over it with `Catalog.with_measured`."""
    hubs = _read("hubs")
    traps = _read("traps")
    fittings = _read("fittings")
    hardware = _read("hardware")
    return Catalog(
        pipes=_pipes(_read("pipe")),
        hubs={h["size_in"]: _hub(h) for h in hubs["hub"]},
        patterns={f["pattern"]: _pattern(f) for f in fittings["fitting"]},
        reducing=tuple(
            Reducing(
                r["pattern"],
                tuple(r["sizes_in"]),
                tuple(_dim(m, r["status"], r.get("note", "")) for m in r["make_up"]),
            )
            for r in fittings["reducing"]
        ),
        seal=_dim(traps["seal"], traps["seal_status"], traps["seal_note"]),
        reaches={t["size_in"]: _dim(t["reach"], t["status"], t.get("note", "")) for t in traps["reach"]},
        figures={
            f["id"]: Figure(f["id"], f["value"], f["unit"], f["printed"], Status(f["status"]), f.get("note", ""))
            for f in hardware["figure"]
        },
        joints_per_quart={c["size_in"]: c["joints_per_quart"] for c in hardware["cement"]},
        lumber=tuple(
            Lumber(
                v["name"],
                _mm(v["width"]),
                _mm(v["depth"]),
                (v["mm"][0], v["mm"][1]),
                Status(v["status"]),
            )
            for v in _read("lumber")["lumber"]
        ),
    )


@cache
def load_costs() -> Costs:
    """Return the costs as shipped; the job's own are laid over them with `Costs.with_said`."""
    data = _read("costs")
    return Costs(
        rows={
            r["item"]: CostRow(
                r["item"], r["per"], _by_size(r["work"]), _by_size(r["material"]), Status(r["status"]), r["note"]
            )
            for r in data["row"]
        },
        factors={
            f["place"]: PlaceFactor(f["place"], float(f["work"]), Status(f["status"]), f["note"])
            for f in data["factor"]
        },
    )


def _by_size(table: dict[str, float]) -> dict[float, float]:
    return {ANY if size == "any" else float(size): float(value) for size, value in table.items()}


def _read(name: str) -> dict[str, Any]:
    text = resources.files("stubout.catalog").joinpath("data", f"{name}.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    if data.get("schema") != 1:
        raise CatalogError(f"catalogue file {name}.toml: schema {data.get('schema')!r}, wanted 1")
    return data


def _inches(text: str) -> float:
    """Return inches of "2-5/16", "11/16", "2" or "1.660"."""
    whole, _, part = text.partition("-")
    return float(sum(Fraction(p) for p in (whole, part) if p))


def _mm(text: str) -> float:
    return round(_inches(text) * MM_PER_INCH, PLACES)


def _dim(text: str, status: str, note: str = "") -> Dim:
    return Dim(_mm(text), f"{text} in", Status(status), note)


def _pipes(data: dict[str, Any]) -> dict[tuple[str, float], PipeData]:
    out: dict[tuple[str, float], PipeData] = {}
    for row in data["pipe"]:
        od, wall, bore = (_mm(row[k]) for k in ("od", "wall", "avg_id"))
        for material in ("abs", "pvc"):
            light = data["abs"]["weight_factor"] if material == "abs" else 1.0
            out[(material, row["size_in"])] = PipeData(
                material=material,
                size_in=row["size_in"],
                od_mm=od,
                id_mm=bore,
                bore_mm=round(od - 2 * wall, PLACES),
                wall_mm=wall,
                kg_per_m=round(row["pvc_lb_per_ft"] * KG_PER_M_FROM_LB_PER_FT * light, PLACES),
                basis=Basis(
                    f"pipe {size_text(row['size_in'])} in, schedule 40 DWV",
                    f"OD {row['od']} in, wall {row['wall']} in, average bore {row['avg_id']} in",
                    "catalog",
                    "D2661" if material == "abs" else "D2665",
                    Status(row["status"]),
                    row.get("note", ""),
                ),
            )
    return out


def _hub(row: dict[str, Any]) -> HubData:
    return HubData(
        size_in=row["size_in"],
        socket=_dim(row["socket"], row["socket_status"]),
        od=_dim(row["hub_od"], row["hub_status"], "for clearance"),
        hole=_dim(row["hole"], row["hole_status"]),
        tight=_dim(row["tight"], row["hole_status"], "least bit"),
    )


def _pattern(row: dict[str, Any]) -> Pattern:
    return Pattern(
        name=row["pattern"],
        kind=row["kind"],
        turn_deg=row["turn_deg"],
        status=Status(row["status"]),
        note=row.get("note", ""),
        like=row.get("like", ""),
        make_up={
            port: {float(size): _dim(text, row["status"], row.get("note", "")) for size, text in table.items()}
            for port, table in row.get("make_up", {}).items()
        },
    )


def shipped_source(catalog: Catalog) -> str:
    """Return the Python text of `stubout/catalog/shipped.py` for a catalogue."""
    names = "Catalog, Dim, Figure, HubData, Lumber, Pattern, PipeData, Reducing"
    return _constant("catalogue", "SHIPPED", catalog, f"stubout.catalog.model import {names}", "Basis, Status")


def shipped_costs_source(costs: Costs) -> str:
    """Return the Python text of `stubout/catalog/shipped_costs.py` for costs."""
    return _constant("costs", "COSTS", costs, "stubout.catalog.costs import CostRow, Costs, PlaceFactor", "Status")


def _constant(what: str, name: str, record: Catalog | Costs, needs: str, problems: str) -> str:
    """Return the Python text of a module that holds one record as a constant."""
    head = (
        f'"""The shipped {what} as a constant, written from its data files by `stubout.files.catalog`."""\n\n'
        "# ruff: noqa: E501 - written by a program, a row a line\n"
        "# fmt: off\n"
        f"from {needs}\n"
        f"from stubout.problems import {problems}\n\n"
    )
    lines = [f"{name} = {type(record).__name__}("]
    for f in fields(record):
        if not f.init:
            continue
        value = getattr(record, f.name)
        if isinstance(value, dict):
            lines.append(f"    {f.name}={{")
            lines += [f"        {_source(k)}: {_source(v)}," for k, v in value.items()]
            lines.append("    },")
        elif isinstance(value, tuple):
            lines.append(f"    {f.name}=(")
            lines += [f"        {_source(v)}," for v in value]
            lines.append("    ),")
        else:
            lines.append(f"    {f.name}={_source(value)},")
    return head + "\n".join([*lines, ")", ""])


def _source(value: object) -> str:
    if isinstance(value, Status):
        return f"Status.{value.name}"
    if isinstance(value, float):
        return repr(round(value, PLACES))
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_source(k)}: {_source(v)}" for k, v in value.items()) + "}"
    if isinstance(value, tuple):
        return "(" + "".join(f"{_source(v)}, " for v in value).rstrip(" ") + ")"
    if is_dataclass(value):
        return f"{type(value).__name__}(" + ", ".join(_source(getattr(value, f.name)) for f in fields(value)) + ")"
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    return repr(value)
