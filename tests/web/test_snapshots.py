"""Photos on their way in: pictures only, made anew."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from cars_in_hand import car_book
from cornerwright.book.book import Book
from cornerwright.model.errors import Refusal
from cornerwright.web import snapshots
from cornerwright.web.bookwork import write
from cornerwright.web.desk import Desk
from cornerwright.web.snapshots import LONGEST_SIDE, clean_photo


def photo(size=(60, 40), kind="JPEG", **more) -> bytes:
    image = Image.new("RGB", size, (200, 30, 30))
    image.paste((20, 20, 220), (0, 0, size[0] // 2, size[1] // 2))
    held = io.BytesIO()
    image.save(held, kind, **more)
    return held.getvalue()


def seen(content: bytes) -> Image.Image:
    return Image.open(io.BytesIO(content))


def exif_of(orientation: int) -> Image.Exif:
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "Some Camera"
    exif.get_ifd(0x8825)[2] = (54.0, 30.0, 0.0)
    return exif


def test_nothing_of_the_camera_is_kept():
    taken = photo(exif=exif_of(1), comment=b"private")
    assert b"Some Camera" in taken
    cleaned = clean_photo(taken)
    assert b"Some Camera" not in cleaned
    assert b"private" not in cleaned
    assert not seen(cleaned).getexif()
    assert seen(cleaned).format == "JPEG"


def test_it_stands_upright():
    assert seen(clean_photo(photo((60, 40), exif=exif_of(6)))).size == (40, 60)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_each_kind_shows_the_same(kind):
    red, green, blue = seen(clean_photo(photo(kind=kind))).getpixel((50, 30))
    assert red > 150
    assert green < 80
    assert blue < 80


def test_it_is_no_larger_than_it_need_be():
    assert max(seen(clean_photo(photo((5000, 200)))).size) == LONGEST_SIDE


def test_what_follows_the_picture_is_gone():
    assert b"<script>" not in clean_photo(photo() + b"<script>alert(1)</script>")


@pytest.mark.parametrize(
    "hostile",
    [
        b"",
        b"\xff\xd8\xff\xe0 no picture",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"GIF89a" + b"\0" * 40,
        b"%PDF-1.7",
        photo()[:300],
        photo(kind="TIFF"),
    ],
)
def test_what_is_no_photo_is_refused(hostile):
    with pytest.raises(Refusal, match="no JPEG"):
        clean_photo(hostile)


def test_a_small_file_that_unfolds_into_a_huge_picture_is_refused(monkeypatch):
    monkeypatch.setattr(snapshots, "MOST_PIXELS", 1_000_000)
    with pytest.raises(Refusal, match="pixels"):
        clean_photo(photo((2000, 2000), kind="PNG"))


def test_a_huge_file_is_refused(monkeypatch):
    monkeypatch.setattr(snapshots, "MOST_BYTES", 100)
    with pytest.raises(Refusal, match="MB"):
        clean_photo(photo())


def test_the_book_keeps_the_cleaned_one(tmp_path):
    where = car_book(tmp_path)
    desk = Desk(where)
    write(desk, [{"kind": "note", "says": "the new perch"}], who="R.", photos=[clean_photo(photo(exif=exif_of(1)))])
    for name in ("../book.sqlite", "..%2fbook.sqlite", "a" * 64, "", "/etc/hosts"):
        assert desk.photo(name) is None
    desk.close()
    with Book.open(where) as book:
        last = book.log(last=1)[0].plain
        assert last["body"]["says"] == "the new perch"
        assert b"Some Camera" not in book.photo(last["photos"][0])
