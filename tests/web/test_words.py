"""Labels in the languages of the site: every one spoken, with its blanks, compiled as committed; chosen by each."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest
from web_client import Browser

from stubout.run_field.model import Field
from stubout.run_field.phrases import PIECES, WHOLE, told
from stubout.run_field.words import LANGUAGES, english, speaker
from stubout.store import jobs
from stubout.store.model import Kind
from stubout.web import gates
from stubout.web.office import Office
from stubout.web.pages_site import KIND_WORDS, slug

pytest.importorskip("babel", reason="babel is not installed")
sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "tools"))
import catalogues

OTHERS = [one for one in LANGUAGES if one != "en"]
BLANKS = re.compile(r"\{(\w*)\}")


@pytest.fixture
def field(starter: int, office: Office) -> Field:
    return office.plans.field(office.plans.key(jobs.revision(office.store, starter).text))


def test_the_languages_of_the_catalogues_are_those_of_the_app() -> None:
    assert tuple(OTHERS) == catalogues.LANGUAGES


@pytest.mark.parametrize("language", OTHERS)
def test_every_label_is_spoken_and_the_catalogues_are_those_of_the_code(language: str) -> None:
    made = catalogues.fresh(language)
    assert [m.id for m in made if m.id and not m.string] == [], "write them into the catalogue, then: make labels"
    po, mo = catalogues.written(made)
    assert catalogues.place(language, "po").read_bytes() == po, "make labels"
    assert catalogues.place(language, "mo").read_bytes() == mo, "make labels"


@pytest.mark.parametrize("language", OTHERS)
def test_a_label_keeps_its_blanks_and_its_figures(language: str) -> None:
    say = speaker(language)
    for text in catalogues.labels():
        assert sorted(BLANKS.findall(say(text))) == sorted(BLANKS.findall(text)), text
        assert re.findall(r"\d+", say(text)) == re.findall(r"\d+", text), text
        assert text.startswith(" ") == say(text).startswith(" ")


def test_what_finds_labels_finds_them() -> None:
    found = catalogues.labels()
    for text, place in (
        ("Marks", "web/templates/wall.html"),
        ("Holes bored", "web/gates.py"),
        ("DO NOT NAIL", "run_field/card_words.py"),
        ("As-built height", "web/along/form.js"),
        ("trap arm {size}", "run_field/phrases.py"),
    ):
        assert place in found[text]


def test_kinds_of_records_are_spoken() -> None:
    assert set(KIND_WORDS) == {k.value for k in Kind}


def test_sentences_of_the_engine_are_spoken_with_their_names_and_figures() -> None:
    es = speaker("es")
    assert told("LV1 stub-out 1-1/2 in", es) == "LV1 salida en pared 1-1/2 in"
    assert told('out 3" past finished wall, fin. floor: other side', es) == (
        'sale 3" de la pared terminada, piso terminado: otro lado'
    )
    assert told('out 3" past finished wall, trap swings 2"', es).endswith(', la trampa gira 2"')
    assert told("sanitary tee 3 x 3 x 1-1/2", es) == "sanitary tee 3 x 3 x 1-1/2"
    assert told("{0} stub-out {tag}", es) == "{0} salida en pared {tag}", "words of a job are no blanks"
    for text in (*WHOLE, *PIECES):
        assert told(text, english) == text
        assert told(text, es) != text or es(text) == text


@pytest.mark.parametrize("language", OTHERS)
def test_forms_fit_what_the_engine_writes(field: Field, language: str) -> None:
    say = speaker(language)
    texts = [s.title for s in field.walls] + [s.corner for s in field.walls] + [d.words for d in field.drains]
    texts += [c for s in field.walls for c in s.cautions] + [m.what for s in field.walls for m in s.marks]
    texts += [d.least_words for d in field.drains] + [t.words for t in field.tasks if t.kind in ("bore", "stub", "cap")]
    assert [t for t in texts if told(t, say) == t] == []


def test_each_person_has_a_language_of_his_own(plumber: Browser, helper: Browser, starter: int, field: Field) -> None:
    wall = f"/jobs/{starter}/site/{slug(field.walls[0])}"
    plumber.post("/hello", {"name": "Plumber P", "language": "es"})
    page = plumber.get(wall).text
    assert '<html lang="es">' in page
    assert "Altura según lo construido" in page
    assert "As-built height" not in page
    assert "As-built height" in helper.get(wall).text
    for path in ("/site", "/site/elsewhere", "/gates", "/records", "/along", "/cards"):
        answer = plumber.get(f"/jobs/{starter}{path}")
        assert answer.status_code == 200
        assert '<html lang="es">' in answer.text
    assert "Antes de pegar" in plumber.get(f"/jobs/{starter}/gates").text
    assert 'lang="es"' in plumber.get(f"/jobs/{starter}/along.html").text
    plumber.post("/hello", {"name": "Plumber P", "language": "xx"})  # one that there is not changes nothing
    assert '<html lang="es">' in plumber.get(wall).text
    plumber.post("/hello", {"name": "Plumber P", "language": "en"})
    assert '<html lang="en">' in plumber.get(wall).text


@pytest.mark.parametrize("language", OTHERS)
def test_gates_reckon_the_same_in_every_language(field: Field, language: str) -> None:
    plain = gates.gates(field, ())
    spoken = gates.gates(field, (), speaker(language))
    assert [[(n.done, n.of, n.by) for n in g.needs] for g in plain] == [
        [(n.done, n.of, n.by) for n in g.needs] for g in spoken
    ]
    assert all(
        a.words != b.words for g, h in zip(plain, spoken, strict=True) for a, b in zip(g.needs, h.needs, strict=True)
    )
