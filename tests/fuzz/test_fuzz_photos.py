"""Damaged photos are made anew or refused."""

from __future__ import annotations

import io
import zlib
from functools import cache

from bounds import bounded, clear, examples
from damaging import RAW, bytes_damaged
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from cornerwright.book.photos import kind_of, read_photo
from cornerwright.model.errors import Refusal
from cornerwright.web.snapshots import LONGEST_SIDE, clean_photo


@cache
def _photo(kind: str) -> bytes:
    image = Image.effect_noise((61, 47), 60.0).convert("RGB")
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010F] = "Some Camera"
    held = io.BytesIO()
    image.save(held, kind, **({"exif": exif} if kind != "GIF" else {}))
    return held.getvalue()


def _png(width: int, height: int, depth: int, colour: int, data: bytes) -> bytes:
    """A PNG whose head promises what its data may not hold."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return len(body).to_bytes(4) + name + body + zlib.crc32(name + body).to_bytes(4)

    head = width.to_bytes(4) + height.to_bytes(4) + bytes((depth, colour, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(data)) + chunk(b"IEND", b"")


SIZES = st.sampled_from((0, 1, 2, 1000, 7000, 20_000, 65_535, 2**31 - 1, 2**32 - 1))
PNGS = st.builds(_png, SIZES, SIZES, st.sampled_from((0, 1, 2, 8, 16, 200)), st.integers(0, 7), st.binary(max_size=60))
PHOTOS = st.sampled_from(("JPEG", "PNG", "WEBP", "GIF")).flatmap(lambda kind: bytes_damaged(lambda: _photo(kind)))


@examples(5.0)
@given(content=PHOTOS | PNGS | RAW)
def test_a_damaged_photo(tmp_path, content):
    with bounded("photo"):
        try:
            cleaned = clean_photo(content)
        except Refusal as refusal:
            clear(refusal)
            cleaned = None
        file = tmp_path / "photo"
        file.write_bytes(content)
        try:
            assert read_photo(file) == content
            assert kind_of(content) is not None
        except Refusal as refusal:
            clear(refusal, str(file))
    if cleaned is None:
        return
    assert kind_of(cleaned) == "jpg"
    assert b"Some Camera" not in cleaned
    assert max(Image.open(io.BytesIO(cleaned)).size) <= LONGEST_SIDE
