"""Published examples of cuts and offsets that no other test covers; ids of the dimensions reference, section 8.1."""

from __future__ import annotations

import pytest

from stubout.catalog import queries as catalog
from stubout.files.books import load_book
from stubout.pocket import cut_from_faces, simple_offset
from stubout.rulebooks import queries

IN = 25.4


def test_s1_offset_of_1918_exact_beside_printed() -> None:
    """S1: plumbing textbook of 1918 (public domain), fig. 76: 12 in at 45 deg, 16.92 printed with 1.41, exact 16.97."""
    travel = simple_offset(12 * IN, 45).travel_mm / IN
    assert travel == pytest.approx(16.97, abs=0.005)
    assert travel == pytest.approx(16.92, abs=1 / 16)


def test_s2_face_to_face_with_the_catalogue_socket() -> None:
    """S2: trade textbook 2022 p. 328 (read): 4 ft 6 in face to face, 2 in pipe, 3/4 at each end: 4 ft 7 1/2 in."""
    socket = catalog.socket_mm(2.0)
    assert socket / IN == pytest.approx(0.75, abs=1 / 32)
    assert cut_from_faces(54 * IN, (socket, socket)).cut_mm / IN == pytest.approx(55.5, abs=1 / 16)


def test_s6_two_by_ten() -> None:
    """S6: unattributed page (secondary): 2x10: notch 1.54 deep and 3.08 long, end notch 2.31, bore 3.08."""
    irc = load_book("irc-framing-2021")
    depth = 9.25 * IN
    assert queries.joist_notch_limit(irc, depth).number / IN == pytest.approx(1.54, abs=0.005)
    assert queries.joist_notch_limit(irc, depth, at_end=True).number / IN == pytest.approx(2.31, abs=0.005)
    assert queries.joist_bore_limit(irc, depth).number / IN == pytest.approx(3.08, abs=0.005)
    assert irc.value("joist_notch.length_fraction").number * depth / IN == pytest.approx(3.08, abs=0.005)


def test_s7_plate_over_a_3_in_pipe() -> None:
    """S7: unattributed quote (secondary), UPC 1-1/2 past each side of a 3 in pipe: a plate of 6-1/2 in at least."""
    upc = load_book("upc-2021")
    least = catalog.od_mm(3.0) + 2 * queries.plate_beyond(upc).number
    assert least / IN == pytest.approx(6.5, abs=0.005)


def test_s8_three_inch_plastic_hub_does_not_fit_where_copper_does() -> None:
    """S8: a copper fitting of 3 3/8 goes into a 3 1/2 cavity with 1/8 to spare (read). Plastic does not: hub 4 in.

    The catalogue has no copper, so only the other half is ours to show: house 03, fact 19 (hub 4.00, estimate).
    """
    cavity = 3.5
    assert cavity - (3 + 3 / 8) == pytest.approx(1 / 8)
    assert catalog.od_mm(3.0) / IN == pytest.approx(cavity)
    assert catalog.hub_od_mm(3.0) / IN > cavity
