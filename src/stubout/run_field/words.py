"""The labels of the site in the language of the one who reads them.

English is what stands in the code; the catalogues give the rest. What a catalogue does not know stays English: it is
never guessed at. Names, remarks and rules that the engine writes are English in every language.
"""

from __future__ import annotations

import gettext
from collections.abc import Callable
from functools import lru_cache
from importlib.resources import files
from typing import Final

Say = Callable[[str], str]
LANGUAGES: Final = {"en": "English", "es": "Español", "fr": "Français"}  # each as its readers call it
ENGLISH: Final = "en"
DOMAIN: Final = "stubout"


def english(text: str) -> str:
    """Return the text as it stands."""
    return text


def noted(text: str) -> str:
    """Return a label as it stands; marks one that is looked up where it is shown."""
    return text


@lru_cache(maxsize=len(LANGUAGES))
def speaker(language: str) -> Say:
    """Return what turns an English label into a language; English for one that is not known."""
    if language == ENGLISH or language not in LANGUAGES:
        return english
    place = files("stubout").joinpath("locale", language, "LC_MESSAGES", f"{DOMAIN}.mo")
    with place.open("rb") as stream:
        return gettext.GNUTranslations(stream).gettext
