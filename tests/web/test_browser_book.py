"""The book in a real browser: joints, parts, jobs, photos, two moments, other ways, a card's link, hostile files."""

from __future__ import annotations

import io
import struct
import urllib.request
import zlib
from collections.abc import Iterator
from pathlib import Path

import pytest
from browsing import SIZES, Serving, opened, sync_api, whole
from PIL import Image

from cars_in_hand import car_book, car_folder
from cornerwright.book.book import Book
from cornerwright.paper.code import card_link
from cornerwright.web.snapshots import MOST_BYTES


@pytest.fixture
def serving(tmp_path) -> Iterator[Serving]:
    made = Serving(car_book(tmp_path))
    yield made
    made.kill()


@pytest.fixture(scope="module")
def refusing(tmp_path_factory) -> Iterator[Serving]:
    """For hostile files: nothing of them stays."""
    made = Serving(car_book(tmp_path_factory.mktemp("refusing")))
    yield made
    made.kill()


@pytest.fixture
def files(tmp_path) -> Iterator[Serving]:
    made = Serving(car_folder(tmp_path))
    yield made
    made.kill()


def jpeg(red: int, size=(60, 40)) -> bytes:
    held = io.BytesIO()
    Image.new("RGB", size, (red, 40, 40)).save(held, "JPEG")
    return held.getvalue()


def log(serving: Serving, last: int = 10):
    with Book.open(serving.where) as book:
        return [line.plain for line in book.log(last=last)]


def stored(serving: Serving) -> list[str]:
    """Every file of the book's photo folder."""
    return sorted(path.name for path in (Path(serving.where) / "photos").rglob("*") if path.is_file())


def typed(page, label: str, text: str) -> None:
    page.get_by_label(label, exact=True).fill(text)


def ready(page) -> None:
    """Until the page's socket listens: what is typed before it is kept by the phone and sent then."""
    page.wait_for_timeout(700)


def written(page) -> None:
    page.get_by_text("written down", exact=True).wait_for()


@pytest.mark.parametrize("size", SIZES)
def test_a_joint_is_tightened_and_the_book_knows(browser, serving, size):
    page, troubles = opened(browser, serving.url + "/joints", size)
    page.get_by_role("link", name="front left, wheel nuts").click()
    ready(page)
    sync_api.expect(page.get_by_label("torque, N·m")).to_have_value("100")  # the maker's
    typed(page, "torque, N·m", "98")
    typed(page, "wrench", "40 to 200")
    page.get_by_label("how the car stood").select_option("ride_height")
    ready(page)
    page.get_by_role("button", name="tightened").click()
    written(page)
    page.get_by_text("Wheel nuts again").wait_for()
    body = log(serving)[-1]["body"]
    assert (body["joint"], body["torque"], body["tool"]) == ("front left wheel nuts", 98, "40 to 200")
    page.get_by_text("See this joint again").click()
    page.get_by_role("button", name="marked").wait_for()
    page.get_by_role("button", name="found loose").click()
    page.get_by_text("not to be driven").first.wait_for()
    assert log(serving)[-1]["body"]["state"] == "loose"
    assert troubles == []


def test_a_part_is_fitted_and_what_it_made_stale_is_shown(browser, serving):
    page, troubles = opened(browser, serving.url + "/parts")
    page.get_by_role("link", name="rear left, Spring").click()
    ready(page)
    typed(page, "what goes on", "Stiff 95")
    typed(page, "rate, N/mm", "95")
    typed(page, "the old one is kept at", "shelf B")
    ready(page)
    # Reloaded in the middle, nothing is lost.
    page.reload()
    ready(page)
    sync_api.expect(page.get_by_label("what goes on")).to_have_value("Stiff 95")
    sync_api.expect(page.get_by_label("rate, N/mm")).to_have_value("95")
    page.get_by_role("button", name="It is fitted").click()
    written(page)
    page.get_by_text("What it makes stale").wait_for()
    page.get_by_text("Ride height, rear").wait_for()
    # What is told is where the eyes are, and a second tap writes nothing.
    sync_api.expect(page.get_by_text("written down", exact=True)).to_be_in_viewport()
    page.get_by_role("button", name="It is fitted").click()
    page.get_by_text("written down already").wait_for()
    removed, fitted = (line["body"] for line in log(serving, 2))
    assert removed["kept"] == "shelf B"
    assert fitted["part"] == "Stiff 95 spring"
    assert fitted["sets"] == {"rear.both.spring.stack[0].rate": 95.0}
    page.goto(serving.url + "/parts")
    page.get_by_text("rate 95 N/mm").first.wait_for()
    page.get_by_text("shelf B").wait_for()
    assert troubles == []


def test_a_job_is_put_off_has_come_is_done_and_taken_back(browser, serving):
    with Book.open(serving.where) as book:
        from diary import say

        book.append(say("finding", what="leak", place="front_left", says="hose weeps", stops_driving=True))
    page, troubles = opened(browser, serving.url + "/jobs")
    page.get_by_role("button", name="put off: Leak, front left").click()
    page.get_by_text("it stops the car being driven all the same").wait_for()
    page.get_by_role("button", name="Put it off").click()
    page.get_by_text("what it waits for, in a few words").wait_for()
    typed(page, "until what", "the hose has come")
    ready(page)
    page.get_by_role("button", name="Put it off").click()
    page.get_by_text("Waits: the hose has come").wait_for()
    page.get_by_text("not to be driven").first.wait_for()
    page.get_by_role("button", name="it has come: Leak").click()
    page.get_by_text("that it has come").first.wait_for()
    page.get_by_text("Waits: the hose has come").wait_for(state="detached")
    ready(page)  # the list is shown twice: by the tap, and by the change that it made
    whole(page)
    page.get_by_role("button", name="done: Leak, front left").click()
    page.get_by_role("button", name="It is done").click()
    page.get_by_role("button", name="done: Leak, front left").wait_for(state="detached")
    page.get_by_role("button", name="take back #").first.click()
    page.get_by_role("button", name="done: Leak, front left").wait_for()
    assert [line["body"]["kind"] for line in log(serving, 5)][-4:] == ["put_off", "note", "done", "correction"]
    assert troubles == []


def test_a_photo_is_taken_and_two_moments_are_compared(browser, serving):
    page, troubles = opened(browser, serving.url + "/history/write")
    for says, red in (("sill before", 80), ("sill after", 220)):
        ready(page)
        page.get_by_label("what", exact=True).select_option("finding")
        typed(page, "in words", says)
        page.get_by_label("where", exact=True).select_option("rear_left")
        page.locator('input[type="file"]').set_input_files(
            {"name": "camera.jpg", "mimeType": "image/jpeg", "buffer": jpeg(red)}
        )
        page.get_by_alt_text("photo 1, to be written").wait_for()
        page.get_by_role("button", name="Write it down").click()
        written(page)
        page.goto(serving.url + "/history/write")
    before, after = log(serving, 2)
    assert [one["body"]["says"] for one in (before, after)] == ["sill before", "sill after"]
    assert len(before["photos"]) == len(after["photos"]) == 1
    assert len(stored(serving)) == 2
    page.goto(serving.url + "/history")
    page.get_by_role("link", name="compare entry").nth(1).click()
    page.get_by_text("Found", exact=True).wait_for()
    page.get_by_role("cell", name="sill after").wait_for()
    shots = page.get_by_role("link", name="photo of entry")
    assert shots.count() == 2
    loaded = "() => [...document.querySelectorAll('.shot img')].every(one => one.complete && one.naturalWidth > 0)"
    page.wait_for_function(loaded)
    assert troubles == []


def bomb() -> bytes:
    """A PNG of 40 000 by 40 000 pixels in a few kilobytes."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))

    packed = zlib.compress(b"\0" * 200_000, 9)
    head = struct.pack(">IIBBBBB", 40_000, 40_000, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


SVG = b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>"


@pytest.mark.parametrize(
    ("name", "kind", "content", "words"),
    [
        ("holiday.jpg", "image/jpeg", b"#!/bin/sh\nrm -rf /\n", "no JPEG, PNG or WebP"),
        ("drawing.svg", "image/svg+xml", SVG, "no JPEG, PNG or WebP"),
        ("drawing.png", "image/png", SVG, "no JPEG, PNG or WebP"),
        ("bomb.png", "image/png", bomb(), "(pixels|no JPEG)"),
        ("huge.jpg", "image/jpeg", jpeg(9) + b"\0" * MOST_BYTES, "more than 12 MB"),
        ("../../../book.sqlite.jpg", "image/jpeg", jpeg(9), "a path in its name"),
        ("..\\book.jpg", "image/jpeg", jpeg(9), "a path in its name"),
    ],
    ids=["script", "svg", "svg as png", "bomb", "too large", "path", "path with backslashes"],
)
def test_a_hostile_file_is_refused_with_words_and_nothing_is_stored(browser, refusing, name, kind, content, words):
    import re

    page, _ = opened(browser, refusing.url + "/history/write")
    ready(page)
    around = {path for path in Path(refusing.where).parent.rglob("*") if path.is_file()}
    page.locator('input[type="file"]').set_input_files({"name": name, "mimeType": kind, "buffer": content})
    alert = page.get_by_role("alert").filter(has_text=re.compile(words))
    alert.wait_for()
    assert page.get_by_alt_text("to be written").count() == 0
    assert stored(refusing) == []
    beside = {path for path in Path(refusing.where).parent.rglob("*") if path.is_file()} - around
    assert {path.name for path in beside} <= {"book.sqlite-wal", "book.sqlite-shm", "tarn.book.entered.jsonl"}
    # The app goes on: a real photo is taken.
    page.locator('input[type="file"]').set_input_files({"name": "a.jpg", "mimeType": "image/jpeg", "buffer": jpeg(5)})
    page.get_by_alt_text("photo 1, to be written").wait_for()


def test_another_way_is_picked(browser, files):
    page, troubles = opened(browser, files.url + "/plan")
    page.get_by_role("button", name="Look for other ways too").click()
    page.get_by_text("Ways to the same targets").wait_for()
    page.get_by_role("button", name="follow this one").first.click()
    page.get_by_role("button", name="follow this one: best chance").wait_for()
    page.get_by_role("button", name="follow this one: best chance").click()
    page.get_by_role("button", name="follow this one: best chance").wait_for(state="detached")
    with urllib.request.urlopen(files.url + "/plan.pdf") as told:
        assert told.headers["content-type"] == "application/pdf"
        assert told.read(5) == b"%PDF-"
    assert troubles == []


def test_what_was_learned_is_shown_after_the_round(browser, files):
    page, troubles = opened(browser, files.url + "/plan")
    page.get_by_role("button", name="Work out what to turn").click()
    page.get_by_text("What the gauges will show").wait_for()
    cards = page.get_by_role("checkbox")
    for k in range(cards.count()):
        cards.nth(k).click()
        page.get_by_text(f"{k + 1} of {cards.count()} moves made").wait_for()
    page.goto(files.url + "/measure")
    ready(page)
    page.locator('input[data-field="read.front_left.height"]').fill("605.2")
    ready(page)
    page.get_by_role("button", name="Keep this round").click()
    page.get_by_text("Predicted and read").wait_for()
    page.get_by_text("What the readings taught").wait_for()
    page.get_by_text("What to read next").wait_for()
    assert troubles == []


def test_a_car_file_gets_its_book_by_one_tap(browser, files):
    page, troubles = opened(browser, files.url + "/joints")
    page.get_by_text("A book adds:").wait_for()
    ready(page)
    page.get_by_role("button", name="Begin a book").click()
    page.get_by_text("as far as was told").wait_for()
    page.get_by_text("A book adds:").wait_for(state="detached")
    assert (files.where / "car.book" / "book.sqlite").is_file()
    page.goto(files.url + "/history")
    page.get_by_text("the car described").wait_for()
    assert troubles == []


def test_the_code_on_a_card_opens_its_jobs(browser, serving):
    from diary import say

    with Book.open(serving.where) as book:
        first = book.append(say("finding", what="leak", place="front_left", says="hose weeps")).number
        book.append(say("finding", what="rust", place="rear_right", says="the sill"))
        link = card_link(book.id, [f"finding_{first}@front_left"], serving.url)
        foreign = card_link("0" * 32, [], serving.url)
    page, troubles = opened(browser, link)
    page.get_by_text("hose weeps").wait_for()
    assert page.get_by_text("the sill").count() == 0
    page.goto(foreign)
    page.get_by_text("a card of another car's book").wait_for()
    page.goto(serving.url + "/book/nonsense/card")
    page.get_by_text("what the code on a work card says").wait_for()
    with urllib.request.urlopen(serving.url + "/jobs.pdf") as told:
        assert told.read(5) == b"%PDF-"
    assert troubles == []
