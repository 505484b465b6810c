"""A fitting and a dimension of it as a person writes them, understood as the catalogue calls them. Lengths [mm]."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from stubout import units
from stubout.catalog.estimate import make_ups
from stubout.catalog.model import MM_PER_INCH, Catalog, Dim, fitting_key
from stubout.catalog.shipped import SHIPPED
from stubout.problems import CatalogError

MAKE_UP: Final = "make-up"  # of every port
HUB: Final = "hub"  # outside diameter of its hubs; of a street fitting the leg with the hub
_BETWEEN: Final = re.compile(r"[x×*]|\bby\b", re.IGNORECASE)
_TIMES: Final = 3.0  # a measured make-up is no more than so many times that of the tables,
_MORE_MM: Final = 2 * MM_PER_INCH  # and so much
_SHARE: Final = 0.2  # nor less than this share of one that is longer than an inch


def fitting_said(text: str, catalog: Catalog = SHIPPED) -> tuple[str, tuple[float, ...]] | None:
    """Return pattern and sizes of a fitting in words, None if the catalogue knows none that is called so.

    Capitals, blanks, hyphens, inch marks and the kind of x are free.

    >>> fitting_said("Long turn 1/4 bend 2 in"), fitting_said('SANITARY TEE 3" by 3" by 1 1/2')
    (('long-turn 1/4 bend', (2.0, 2.0)), ('sanitary tee', (3.0, 3.0, 1.5)))
    >>> fitting_said("wye 3 x 2")
    """
    for pattern in sorted(catalog.patterns, key=len, reverse=True):
        rest = _after(text, pattern)
        sizes = _sizes(rest) if rest else ()
        if len(sizes) == 1:
            sizes = sizes * 2 if catalog.patterns[pattern].kind != "end" else sizes
        if not sizes or any(s not in catalog.hubs for s in sizes):
            continue
        try:
            make_ups(catalog, pattern, sizes)
        except CatalogError:
            continue
        return pattern, sizes
    return None


def fitting_meant(text: str, catalog: Catalog = SHIPPED) -> str:
    """Return the fitting that was perhaps meant where its name is right and its sizes are not, "" if there is none."""
    for pattern in sorted(catalog.patterns, key=len, reverse=True):
        rest = _after(text, pattern)
        sizes = _sizes(rest) if rest else ()
        if sizes and all(s in catalog.hubs for s in sizes) and catalog.patterns[pattern].kind not in ("end", "bend"):
            whole = (sizes[0], sizes[0], sizes[-1])
            if fitting_said(key := fitting_key(pattern, whole), catalog):
                return key
    return ""


def _after(text: str, name: str) -> str | None:
    """Return what follows a name at the start of a text, None if the text begins otherwise."""
    wanted = [c for c in name.lower() if c not in " -"]
    at = 0
    for c in wanted:
        while at < len(text) and text[at] in " -":
            at += 1
        if at >= len(text) or text[at].lower() != c:
            return None
        at += 1
    return text[at:]


def _sizes(text: str) -> tuple[float, ...]:
    try:
        return tuple(units.parse_size_in(word) for word in _BETWEEN.split(text))
    except units.UnitError:
        return ()


def dimensions(ports: Mapping[str, object]) -> tuple[str, ...]:
    """Return what can be measured on a fitting with these ports, as the job file says it.

    >>> dimensions({"inlet": 1, "outlet": 1, "branch 1": 1, "branch 2": 1})
    ('inlet', 'outlet', 'branch', 'branch 1', 'branch 2', 'make-up', 'hub')
    """
    names = (n for port in ports for n in dict.fromkeys((port.rstrip(" 0123456789"), port)))
    return tuple(dict.fromkeys((*names, MAKE_UP, HUB)))


def dimension_said(text: str, ports: Mapping[str, object]) -> str | None:
    """Return a dimension as the catalogue calls it, None if a fitting with these ports has none that is called so.

    >>> dimension_said("Make up", {"inlet": 1}), dimension_said("foo", {"inlet": 1})
    ('make-up', None)
    """

    def folded(word: str) -> str:
        return "".join(c for c in word.lower() if c not in " -_")

    return next((d for d in dimensions(ports) if folded(d) == folded(text)), None)


def sane_range(
    pattern: str, sizes_in: tuple[float, ...], dimension: str, catalog: Catalog = SHIPPED
) -> tuple[float, float]:
    """Return between which lengths a measured dimension of a fitting can lie [mm].

    Args:
        pattern: Catalogue word.
        sizes_in: Nominal sizes in port order [in].
        dimension: As the catalogue calls it.
        catalog: The catalogue, without measurements.
    """
    dims = make_ups(catalog, pattern, sizes_in)
    if dimension == HUB and HUB not in dims:
        ods = [catalog.od_mm(s) for s in sizes_in]
        return min(ods), 2 * max(ods)
    mms = [d.mm for name, d in dims.items() if _is(dimension, name)]
    low = min(mms) * _SHARE if min(mms) > MM_PER_INCH else 0.0
    return low, max(mms) * _TIMES + _MORE_MM


def _is(dimension: str, port: str) -> bool:
    return dimension in (port, port.rstrip(" 0123456789"), MAKE_UP)


def laid_over(
    dims: Mapping[str, Dim], measured: tuple[tuple[str, float], ...]
) -> tuple[dict[str, float], float | None]:
    """Return the make-ups that were measured by port, and the outside diameter of the hubs, None if it was not.

    Args:
        dims: The make-ups of the tables, by port.
        measured: Dimension and length of each measurement.
    """
    ports: dict[str, float] = {}
    hub_mm = None
    for dimension, mm in sorted(measured, key=lambda m: m[0] != MAKE_UP):  # of one port goes before that of all
        if dimension == HUB and HUB not in dims:
            hub_mm = mm
        ports.update({name: mm for name in dims if _is(dimension, name)})
    return ports, hub_mm


def as_catalogued(fitting: str, dimension: str, catalog: Catalog = SHIPPED) -> tuple[str, str]:
    """Return fitting and dimension of a measurement as the catalogue calls them; what is unknown stays as it is."""
    said = fitting_said(fitting, catalog)
    if said is None:
        return fitting, dimension
    return fitting_key(*said), dimension_said(dimension, make_ups(catalog, *said)) or dimension
