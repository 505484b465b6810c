"""What is made once for all readers: bounded, never of another reader, never of another state of the job."""

from __future__ import annotations

import re
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from starlette.testclient import TestClient
from web_client import Browser, browser

from stubout.store import jobs, sessions
from stubout.store.engine import Store
from stubout.store.model import Session
from stubout.web import blanks
from stubout.web.blanks import NOW, ONCE, READER, blank
from stubout.web.memory import Memory
from stubout.web.office import Office
from stubout.web.people import BELIEVED_S, Known, Person

TOKEN = re.compile(r'name="token" value="([0-9a-f]{16})"')


def test_the_least_lately_used_goes_first_and_nothing_grows_beyond_the_bound() -> None:
    held: Memory[str] = Memory(12, len)
    for word in ("aaa", "bbb", "ccc", "ddd"):
        held.put(word[0], word)
    assert held.get("a") == "aaa"
    held.put("e", "eee")
    assert [held.get(k) for k in "abcde"] == ["aaa", None, "ccc", "ddd", "eee"]
    assert held.total == 12
    held.put("f", "ffff")  # more than a quarter: it would push out too much
    assert held.get("f") is None
    held.put("a", "a")
    held.forget("c")
    assert held.total == 7


def test_what_is_held_is_not_made_again() -> None:
    made: list[int] = []
    held: Memory[tuple[int, ...]] = Memory(100)
    for _ in range(3):
        assert held.made("k", lambda: (made.append(1), ())[1]) == ()
    assert made == [1]


def test_who_asks_while_it_is_made_waits_for_it_and_a_fault_holds_nobody_up() -> None:
    held: Memory[str] = Memory(100)
    made: list[int] = []
    go = threading.Event()

    def slowly() -> str:
        made.append(1)
        go.wait(10)
        return "there"

    with ThreadPoolExecutor(4) as four:
        asked = [four.submit(held.made, "k", slowly) for _ in range(4)]
        go.set()
        assert [a.result(10) for a in asked] == ["there"] * 4
    assert made == [1]
    with pytest.raises(ZeroDivisionError):
        held.made("bad", lambda: str(1 / 0))
    assert held.made("bad", lambda: "good") == "good"


def test_gaps_are_filled_for_each_reader_with_words_that_are_no_markup() -> None:
    page = blank(f"<a>{READER.name}</a><i title='{READER.csrf}'>{READER.mark}</i>{ONCE} {ONCE} {NOW}")
    who = Person("<b>\"Plumber'", "t", "c" * 64)
    text = page.filled(who).decode()
    assert text.startswith("<a>&lt;b&gt;&#34;Plumber&#39;</a><i title='" + "c" * 64 + f"'>{who.mark}</i>")
    first, second = re.findall(r"[0-9a-f]{16}(?= )", text.rpartition("</i>")[2])
    assert first != second
    assert "\1" not in text
    assert READER.name not in page.filled(None).decode()
    assert blank("plain").filled(who) == b"plain"


def test_one_page_serves_two_readers_and_neither_sees_the_other(plumber: Browser, helper: Browser, fresh: int,
                                                               office: Office) -> None:  # fmt: skip
    path = f"/jobs/{fresh}/site/elsewhere"
    one = plumber.get(path).text
    held = office.pages.total
    two, again = helper.get(path).text, plumber.get(path).text
    assert office.pages.total == held  # not made anew
    assert "Plumber P" in one
    assert "Plumber P" not in two
    assert "Helper H" in two
    assert plumber.csrf in one
    assert plumber.csrf not in two
    assert helper.csrf in two
    tokens = [t for text in (one, two, again) for t in TOKEN.findall(text)]
    assert len(tokens) > 30
    assert len(set(tokens)) == len(tokens)  # each form of each page its own
    assert blanks._SALT not in one + two


def test_a_page_follows_every_change_of_its_job(plumber: Browser, helper: Browser, fresh: int, office: Office) -> None:

    def at(path):
        return helper.get(f"/jobs/{fresh}{path}").text

    before = at("/site/elsewhere"), at("/records"), at("/gates")
    task = next(t for t in office.plans.field(office.plans.key(jobs.revision(office.store, fresh).text)).tasks)
    said = {"kind": "tick", "about": task.about, "place": task.place, "wall": task.wall, "revision": "1",
            "token": "abc", "next": f"/jobs/{fresh}/site"}  # fmt: skip
    assert plumber.post(f"/jobs/{fresh}/records", said).status_code == 200
    assert "Plumber P" in at("/records")
    assert at("/gates") != before[2]
    plumber.post(f"/jobs/{fresh}/rename", {"name": "Another name"})
    assert "Another name" in at("/records")
    text = jobs.revision(office.store, fresh).text
    jobs.save(office.store, fresh, 1, f"{text}\n# more\n", "Helper H")
    assert "# more" in at("/edit")


def test_a_session_that_has_ended_or_another_name_is_known_at_once(served: TestClient, starter: int) -> None:
    who = browser(served, "Helper H")
    assert who.get(f"/jobs/{starter}/site").status_code == 200
    who.post("/hello", {"name": "Helper J", "next": "/"})
    assert "Helper J" in who.get(f"/jobs/{starter}/site").text
    cookie = dict(who.client.cookies)
    who.post("/leave")
    who.client.cookies.update(cookie)
    assert who.client.get(f"/jobs/{starter}/site", follow_redirects=False).status_code == 303


def test_a_session_is_asked_for_again_after_a_while(office: Office) -> None:
    now = [100.0]
    known = Known(office.store, lambda: now[0])
    token = sessions.begin(office.store, "Helper H")
    assert known.glance(token) is None
    assert known.session(token) is not None
    sessions.end(office.store, token)  # by another server on the same database
    now[0] += BELIEVED_S
    assert known.glance(token) is not None
    now[0] += 0.1
    assert known.glance(token) is None
    assert known.session(token) is None


def test_what_is_read_while_a_session_ends_is_not_held(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    token = sessions.begin(office.store, "Helper H")

    known = Known(office.store)
    real = sessions.session

    def ends_meanwhile(store: Store, asked: str) -> Session | None:
        found = real(store, asked)
        known.end(asked)
        return found

    monkeypatch.setattr(sessions, "session", ends_meanwhile)
    assert known.session(token) is not None
    monkeypatch.undo()
    assert known.session(token) is None
