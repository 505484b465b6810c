"""The photos of a file of entries: taken out of its text, looked at and drawn anew as uploads are, each kept once."""

from __future__ import annotations

import base64
import binascii
from dataclasses import dataclass, field, replace
from typing import Final

from stubout.store import records
from stubout.store.engine import Store
from stubout.store.model import Entry, Kind, Record, StoreError
from stubout.web.along.sheaf import EntrySaid
from stubout.web.photos import remade
from stubout.web.settings import KB, Limits

_IN_BASE64: Final = 4 / 3  # letters a byte


@dataclass(slots=True)
class Album:
    """The photos that come with one file; no more of them are looked at than one file may bring."""

    store: Store
    job: int
    limits: Limits
    looked_at: int = field(default=0, init=False)

    def kept(self, said: EntrySaid) -> str:
        """Return the name under which the photo of an entry is kept; StoreError if it is none that is taken."""
        if said.kind != "photo":
            raise StoreError(f"a picture with a {said.kind}: only a photo carries one")
        if not said.photo:
            raise StoreError("a photo without its picture")
        most = self.limits.brought_photo_bytes
        if len(said.photo) > most * _IN_BASE64 + 4:
            raise StoreError(f"the photo is larger than {most // KB} kB")
        if self.looked_at >= self.limits.brought_photos:
            raise StoreError(f"{self.limits.brought_photos} photos are taken at once: bring the same file again")
        self.looked_at += 1
        # A phone has made it small: one with more points than that is none of ours, and is not unpacked.
        small = replace(self.limits, photo_pixels=self.limits.photo_side**2)
        return records.keep_photo(self.store, *remade(_bytes(said.photo), small))

    def same(self, entry: Entry) -> Record | None:
        """Return the standing record that shows the same photo of the same thing in the same words, None if none."""
        if entry.kind is not Kind.PHOTO:
            return None
        there = records.standing(records.listed(self.store, self.job))
        said = (entry.photo, entry.about, entry.wall, entry.place, entry.value.strip())
        return next((r for r in there if (r.photo, r.about, r.wall, r.place, r.value) == said), None)


def _bytes(text: str) -> bytes:
    try:
        return base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        raise StoreError("that is no photo: its text is no base64") from None
