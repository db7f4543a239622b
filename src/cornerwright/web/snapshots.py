"""Photos on their way in: only what decodes as a picture, made anew without what a camera writes into it."""

from __future__ import annotations

import io
import warnings

from PIL import Image, ImageOps, UnidentifiedImageError

from cornerwright.model.errors import Refusal

MOST_BYTES = 12 * 1024 * 1024
MOST_PIXELS = 60_000_000
LONGEST_SIDE = 2560
"""Pixels that are kept along the longer side."""
FORMATS = ("JPEG", "PNG", "WEBP")


def clean_photo(content: bytes) -> bytes:
    """The picture as a JPEG of our own making: upright, no larger than it need be, no metadata. Raises Refusal."""
    if len(content) > MOST_BYTES:
        raise Refusal.of(f"a file of more than {MOST_BYTES // 1024**2} MB", "a photo as a phone takes it")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content), formats=FORMATS) as opened:
                if opened.width * opened.height > MOST_PIXELS:
                    raise Refusal.of(f"{opened.width} by {opened.height} pixels", "a photo as a phone takes it")
                upright = ImageOps.exif_transpose(opened).convert("RGB")
    except Refusal:
        raise
    except (UnidentifiedImageError, Image.DecompressionBombError, Image.DecompressionBombWarning, OSError, ValueError,
            SyntaxError):  # fmt: skip
        raise Refusal.of("a file that is no JPEG, PNG or WebP", "a photo saved as one of these") from None
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    anew = Image.frombytes("RGB", upright.size, upright.tobytes())
    written = io.BytesIO()
    anew.save(written, "JPEG", quality=85)
    return written.getvalue()
