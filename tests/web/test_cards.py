"""Cards for walls: what lies behind a face is hatched and told, by figures that err to the safe side only."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import pytest
from laid_out import design_of
from pypdf import PdfReader
from web_client import Browser

from stubout import units
from stubout.design import Design
from stubout.export.svg import svg
from stubout.run_field import cards, texts
from stubout.run_field.card_words import ALL, KINDS
from stubout.run_field.model import Field
from stubout.run_field.words import LANGUAGES
from stubout.sheets.card_facts import NAIL_MM, zones
from stubout.sheets.pipeware import od_mm
from stubout.sheets.wall_facts import pipes_in_wall
from stubout.store import jobs
from stubout.web.office import Office


@pytest.fixture(scope="module")
def design() -> Design:
    return design_of(texts.read_text(texts.starter("inch")))


@pytest.fixture
def field(starter: int, office: Office) -> Field:
    return office.plans.field(office.plans.key(jobs.revision(office.store, starter).text))


def words_of(pdf: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]


def test_every_pipe_in_a_wall_lies_in_a_zone_with_room_for_a_nail(design: Design) -> None:
    seen = 0
    for wall in design.house.walls:
        for side in cards.SIDES:
            found = zones(design, wall, side)
            for p in pipes_in_wall(design, wall):
                for k in range(11):
                    at = p.a.plus(p.b.minus(p.a).times(k / 10))
                    if not wall.bottom_z_mm < at.z < wall.top_z_mm:
                        continue
                    station, half = wall.station(at), od_mm(p.size_in) / 2 + NAIL_MM
                    seen += 1
                    assert any(
                        z.stations_mm[0] <= max(0.0, station - (half if p.vertical else 0.0)) + 1e-6
                        and z.stations_mm[1] >= min(wall.length_mm, station + (half if p.vertical else 0.0)) - 1e-6
                        and z.heights_mm[0] <= at.z <= z.heights_mm[1]
                        for z in found
                    ), (p.id, side)
    assert seen > 50


def test_a_wall_without_pipe_has_no_card_and_one_with_it_has_two(design: Design) -> None:
    made = cards.cards(design)
    with_pipe = [w.id for w in design.house.walls if zones(design, w, "left")]
    assert sorted((c.wall, c.side) for c, _ in made) == sorted((w, s) for w in with_pipe for s in cards.SIDES)
    assert len(with_pipe) < len(design.house.walls)
    for card, picture in made:
        letters = {i.text for i in picture.items if hasattr(i, "text")}
        assert letters == {z.letter for z in card.zones}, "a picture has no words but the letters"


def test_figures_are_rounded_away_from_the_pipe(design: Design) -> None:
    for card, _ in cards.cards(design):
        wall = next(w for w in design.house.walls if w.id == card.wall)
        for exact, shown in zip(zones(design, wall, card.side), card.zones, strict=True):
            lo, hi = (units.parse_length_mm(s, "inch") for s in shown.stations)
            assert lo <= exact.stations_mm[0] + 0.01
            assert hi >= exact.stations_mm[1] - 0.01
            assert hi - lo < exact.stations_mm[1] - exact.stations_mm[0] + 2 * 25.4 / 4
            deep = units.parse_length_mm(shown.deep, "inch") if shown.deep else 0.0
            assert deep <= exact.deep_mm + 0.01


@pytest.mark.parametrize("language", [*LANGUAGES, ALL])
def test_each_card_is_one_page_in_its_language(design: Design, language: str) -> None:
    pdf, count = cards.cards_of(design, KINDS, language)
    pages = words_of(pdf)
    assert len(pages) == count == 2 * len(cards.cards(design))
    heads = {"en": "DO NOT COVER", "es": "NO CUBRIR", "fr": "NE PAS RECOUVRIR"}
    nails = {"en": "DO NOT NAIL", "es": "NO CLAVAR", "fr": "NE PAS CLOUER"}
    for words in heads, nails:
        for one, head in words.items():
            shown = sum(head in p for p in pages)
            assert shown == (count // 2 if language in (one, ALL) else 0)
    card = cards.cards(design)[0][0]
    assert card.zones[0].stations[0] in pages[1]
    box = PdfReader(io.BytesIO(pdf)).pages[0].mediabox
    assert (float(box.width), float(box.height)) == (792.0, 612.0)  # letter, lying
    assert cards.cards_of(design, KINDS, language)[0] == pdf, "the same cards give the same bytes"


def test_cards_are_printed_from_the_app(plumber: Browser, starter: int, field: Field) -> None:
    page = plumber.get(f"/jobs/{starter}/cards")
    assert page.text.count("<svg") == len(field.cards)
    for query, count in (("", 2), ("?of=nail&language=es", 1), ("?of=cover&language=fr", 1)):
        answer = plumber.get(f"/jobs/{starter}/cards.pdf{query}")
        assert answer.headers["content-type"] == "application/pdf"
        assert len(words_of(answer.content)) == count * len(field.cards)
    for query in ("?of=all", "?language=xx", "?language=../en"):
        assert plumber.get(f"/jobs/{starter}/cards.pdf{query}").status_code == 404


def test_words_of_a_job_are_no_markup_on_a_card(field: Field) -> None:
    made: Any = cards.cards(design_of(texts.read_text(texts.starter("mm"))))
    bad = replace(field, title="#panic() *x* <b>", cards=tuple(c for c, _ in made))
    pictures = {c.picture: svg(p).encode() for c, p in made}
    assert "#panic() *x* <b>" in words_of(cards.cards_file(bad, pictures, KINDS, "en"))[0]
