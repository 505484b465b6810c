"""Photos in a file of entries: drawn anew as uploads are, each kept once, refused with a sentence where it is none."""

from __future__ import annotations

import base64
import io
import json
import re
import time
import zlib
from dataclasses import replace
from importlib.resources import files
from typing import Any

import pytest
from PIL import Image
from test_along import entry, sheaf
from web_client import Browser

from stubout.run_field.model import Field
from stubout.store import jobs, records
from stubout.store.model import Kind, StoreError
from stubout.web import gates
from stubout.web.along.merge import Outcome, merge
from stubout.web.along.sheaf import read
from stubout.web.guard import most_bytes
from stubout.web.office import Office
from stubout.web.photos import remade
from stubout.web.settings import KB, MB, Limits


@pytest.fixture
def field(starter: int, office: Office) -> Field:
    return office.plans.field(office.plans.key(jobs.revision(office.store, starter).text))


def text_of(data: bytes) -> str:
    return base64.b64encode(data).decode()


def shot(token: str, data: bytes, **more: Any) -> dict[str, Any]:
    said = {"about": "P L", "wall": "P L", "place": "", "photo": text_of(data), **more}
    return entry(token, "photo", **said)


def picture(colour: int, form: str = "JPEG", size: tuple[int, int] = (40, 30)) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, (colour, 10, 10)).save(out, form)
    return out.getvalue()


def brought(office: Office, job: int, *entries: dict[str, Any], **limits: Any) -> tuple[Outcome, ...]:
    return merge(office.store, job, read(sheaf(office, job, *entries)), "Q", limits=replace(Limits(), **limits))


def test_a_photo_comes_back_as_an_upload_would_and_is_seen_in_the_app(
    plumber: Browser, fresh: int, office: Office, field: Field, photo: bytes
) -> None:
    side = field.walls[0]
    mark = side.marks[0]
    text = sheaf(
        office, fresh, shot("00000001", photo, about=side.id, wall=side.id, value="before cover"),
        shot("00000002", picture(90), about=mark.about, wall=side.id, place=mark.place),
    )  # fmt: skip
    for words in ("2 added, 0 there already, 0 refused", "0 added, 2 there already, 0 refused"):
        page = plumber.post(f"/jobs/{fresh}/along/entries", files={"file": ("e.json", text.encode())})
        assert words in page.text
    kept = records.listed(office.store, fresh)
    assert [(r.kind, r.author, r.value, r.wall, r.brought_by) for r in kept] == [
        (Kind.PHOTO, "Helper H", value, side.id, "Plumber P") for value in ("before cover", "")
    ]
    data = records.photo(office.store, kept[0].photo).data
    assert data == remade(photo, Limits())[0]  # the very bytes that an upload keeps
    assert b"SECRET MAKER" not in data
    wall = plumber.get(f"/jobs/{fresh}/site/wall-P-L").text
    for r in kept:
        assert f"/photos/{r.photo}.jpg" in wall
    assert plumber.get(f"/photos/{kept[1].photo}.jpg").content.startswith(b"\xff\xd8")
    need = next(n for g in gates.gates(field, kept) for n in g.needs if n.by == "photos")
    assert need.done == 1  # that of the wall; one of a mark shows no wall


def test_the_same_photo_of_the_same_thing_is_kept_once(fresh: int, office: Office) -> None:
    one = picture(90)
    first, second, elsewhere, told = brought(
        office, fresh, shot("00000001", one), shot("00000002", one), shot("00000003", one, about="Q L", wall="Q L"),
        shot("00000004", one, value="says more"),
    )  # fmt: skip
    assert [o.state for o in (first, second, elsewhere, told)] == ["added", "there", "added", "added"]
    assert second.record == first.record
    assert len({r.photo for r in records.listed(office.store, fresh)}) == 1


def bomb() -> bytes:
    """Give a PNG of a gigapixel: some kilobytes that unpack to 125 million bytes."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")

    side = 32_000
    packer = zlib.compressobj(9)
    row = bytes(1 + side // 8)
    body = b"".join(packer.compress(row) for _ in range(side)) + packer.flush()
    head = side.to_bytes(4, "big") * 2 + bytes((1, 0, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        ({"photo": ""}, "without its picture"),
        ({"photo": "not base64 !"}, "no base64"),
        ({"photo": "é" * 40}, "no base64"),
        ({"photo": text_of(SVG)}, "no photo"),
        ({"photo": text_of(b"GIF89a" + bytes(60))}, "no photo"),
        ({"photo": text_of(b"%PDF-1.7")}, "no photo"),
        ({"photo": text_of(picture(9)[:200])}, "no photo"),
        ({"photo": text_of(picture(9, "BMP"))}, "no photo"),
        ({"photo": text_of(picture(9, "PNG", (2049, 2048)))}, "more than 4 million points"),
        ({"photo": "A" * (1024 * 1024 + 8)}, "larger than 768 kB"),
        ({"kind": "note", "value": "x"}, "only a photo carries one"),
        ({"author": " "}, "author"),
    ],
)
def test_a_photo_that_is_none_is_refused_with_a_sentence_and_the_rest_is_kept(
    fresh: int, office: Office, bad: dict[str, Any], words: str
) -> None:
    good = shot("00000009", picture(80))
    found = brought(office, fresh, {**shot("00000008", picture(70)), **bad}, good)
    assert [o.state for o in found] == ["refused", "added"]
    assert words in found[0].words
    assert [r.kind for r in records.listed(office.store, fresh)] == [Kind.PHOTO]


def test_a_bomb_is_not_unpacked(fresh: int, office: Office) -> None:
    data = bomb()
    assert len(data) < 768 * KB
    begun = time.process_time()
    (one,) = brought(office, fresh, shot("00000001", data))
    assert time.process_time() - begun < 1.0  # unpacked it takes many times that
    assert one.state == "refused"
    assert records.listed(office.store, fresh) == ()


def test_no_more_than_so_many_photos_are_taken_at_once_and_the_rest_the_next_time(fresh: int, office: Office) -> None:
    many = [shot(f"0000000{n}", picture(10 * n)) for n in range(5)]
    found = brought(office, fresh, *many, brought_photos=3)
    assert [o.state for o in found] == ["added"] * 3 + ["refused"] * 2
    assert "bring the same file again" in found[-1].words
    again = brought(office, fresh, *many, brought_photos=3)
    assert [o.state for o in again] == ["there"] * 3 + ["added"] * 2


def test_a_file_of_entries_may_be_as_large_as_its_photos_and_no_larger(plumber: Browser, fresh: int) -> None:
    limits = Limits()
    path = f"/jobs/{fresh}/along/entries"
    assert most_bytes(path, limits) == limits.brought_bytes
    assert most_bytes(f"/jobs/{fresh}/entries", limits) == limits.job_bytes
    all_photos = limits.brought_photos * limits.brought_photo_bytes * 4 // 3
    assert limits.brought_bytes == all_photos + 5 * MB
    huge = plumber.client.post(path, content=b"", headers={"content-length": str(limits.brought_bytes + 1)})
    assert huge.status_code == 413


def test_a_file_of_schema_1_has_no_photos(fresh: int, office: Office) -> None:
    old = json.loads(sheaf(office, fresh, entry("00000001", "tick")))
    old["schema"] = 1
    assert merge(office.store, fresh, read(json.dumps(old)), "Q")[0].state == "added"
    old["entries"] = [shot("00000002", picture(90))]
    with pytest.raises(StoreError, match="schema 1, which has none"):
        read(json.dumps(old))


def test_the_phone_goes_by_the_limits_of_the_server() -> None:
    code = files("stubout.web").joinpath("static", "photos.js").read_text(encoding="utf-8")
    limits = Limits()
    said = dict(re.findall(r"const (SIDE|LARGEST|MOST) = ([0-9 *]+);", code))
    factors = {k: [int(f) for f in v.split("*")] for k, v in said.items()}
    assert factors["SIDE"] == [limits.photo_side]
    assert factors["LARGEST"][0] * factors["LARGEST"][1] == limits.brought_photo_bytes
    assert factors["MOST"] == [limits.brought_photos]
