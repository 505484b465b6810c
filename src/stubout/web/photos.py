"""Photos from phones: decoded and written anew, so that nothing hidden in the file comes along, no place, no time."""

from __future__ import annotations

import io
from typing import Final

from PIL import Image, ImageOps, UnidentifiedImageError

from stubout.store.model import StoreError
from stubout.web.settings import Limits

FORMATS: Final = ("JPEG", "PNG", "WEBP")
_QUALITY: Final = 85


def remade(data: bytes, limits: Limits) -> tuple[bytes, int, int]:
    """Return a photo as a plain JPEG with its width and height in pixels; StoreError if it is none we take.

    Only pixels are kept: turned the way the phone held it, at most so large, without any note of place, time or maker.
    """
    try:
        with Image.open(io.BytesIO(data), formats=FORMATS) as opened:
            if opened.width * opened.height > limits.photo_pixels:
                raise StoreError(f"the photo has more than {limits.photo_pixels // 1_000_000} million points")
            opened.draft("RGB", (limits.photo_side, limits.photo_side))
            picture = ImageOps.exif_transpose(opened).convert("RGB")
    except StoreError:
        raise
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Warning, Image.DecompressionBombError):
        raise StoreError("that is no photo this program can read; JPEG, PNG and WebP are") from None
    picture.thumbnail((limits.photo_side, limits.photo_side))
    out = io.BytesIO()
    # A new picture of the same pixels: what the old one carried beside them stays behind.
    Image.frombytes("RGB", picture.size, picture.tobytes()).save(out, "JPEG", quality=_QUALITY)
    return out.getvalue(), picture.width, picture.height
