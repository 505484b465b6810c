"""The six books, loaded once. On the path: this folder, for `small_books`, and the folder of the pages."""

import sys
from pathlib import Path

import pytest

from stubout.files.books import load_book
from stubout.rulebooks.model import RuleBook

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2] / "docs")]


@pytest.fixture(scope="session")
def npc() -> RuleBook:
    return load_book("npc-2020")


@pytest.fixture(scope="session")
def upc() -> RuleBook:
    return load_book("upc-2021")


@pytest.fixture(scope="session")
def ipc() -> RuleBook:
    return load_book("ipc-2021")


@pytest.fixture(scope="session")
def irc() -> RuleBook:
    return load_book("irc-2021")


@pytest.fixture(scope="session")
def nbc() -> RuleBook:
    return load_book("nbc-9.23.5")


@pytest.fixture(scope="session")
def irc_framing() -> RuleBook:
    return load_book("irc-framing-2021")
