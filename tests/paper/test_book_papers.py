"""Work cards of open jobs and the hand-over report: whole, with their code, whatever the book holds."""

from __future__ import annotations

import re

import pytest
import segno

from cornerwright.book.making import make_book
from cornerwright.cli.book_open import jobs_of
from cornerwright.model.errors import Refusal
from cornerwright.paper.code import MOST, card_link, code_svg, read_link
from cornerwright.paper.handover import hand_over
from cornerwright.paper.job_card import job_card
from cornerwright.planning.cautions import BRAKES, RAISED, THREADS
from cornerwright.planning.service_words import FLUID, LICENSED
from cornerwright.planning.telling import car_now
from diary import PNG, moved, opening, say

BOOK = "0123456789abcdef" * 2


def pages(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page[^s]", pdf))


@pytest.fixture
def told(tmp_path):
    """Jobs and car of a book that has a bit of everything, and text that could be read as markup."""
    with make_book(tmp_path / "a.book", opening()) as book:
        book.append_all(
            [
                *(moved(f"rear_{side}.perch", 12, 10) for side in ("left", "right")),
                say("joint", 11, joint="#panic() *bolt* $x$", place="rear_left", state="finger_tight"),
                say("finding", 12, what="crack", place="front", says='"] #image("x")', stops_driving=True),
                say("put_off", 13, job="paint\x00 the sill 漆", until="when dry"),
                say("fitted", 14, part="wheel", place="front_left", price=45, source="\\club_"),
                say("reading", 15, reading={"rear_left": {"height": 612}}),
            ]
        )
        record = book.record()
        jobs = jobs_of(book, record)
        return jobs, car_now(record, jobs.costs, book.where)


def test_the_card_holds_every_job_and_is_the_same_each_time(told):
    jobs = told[0].model_copy(update={"link": card_link(BOOK, [job.name for job in told[0].jobs])})
    pdf = job_card(jobs)
    assert pdf.startswith(b"%PDF")
    assert pages(pdf) >= 2
    assert job_card(jobs) == pdf


def test_a_card_of_one_job_is_one_page(told):
    (job,) = (job for job in told[0].jobs if job.name == "lamps@car")
    visit = told[0].visits[-1].model_copy(update={"jobs": (job.name,)})
    one = told[0].model_copy(update={"jobs": (job,), "visits": (visit,), "waiting": ()})
    assert pages(job_card(one)) == 1


@pytest.mark.parametrize(
    ("name", "stands", "said"),
    [
        ("lock_nuts@front", "either", {RAISED, THREADS}),
        ("cables@rear", "raised", {RAISED, BRAKES}),
        ("bleed@car", "raised", {RAISED, BRAKES, FLUID, LICENSED}),
        ("bed_in@front", "either", {LICENSED}),
    ],
)
def test_the_card_warns_of_what_its_job_can_do(told, monkeypatch, name, stands, said):
    job = told[0].jobs[0].model_copy(update={"name": name, "stands": stands})
    visit = told[0].visits[0].model_copy(update={"stands": stands, "jobs": (name,)})
    sent = {}
    monkeypatch.setattr("cornerwright.paper.job_card.press", lambda _, data: sent.update(data) or b"")
    job_card(told[0].model_copy(update={"jobs": (job,), "visits": (visit,), "waiting": ()}))
    assert said <= {one for half in sent["cautions"] for one in half}


def test_the_report_is_set_with_photos_that_can_be_printed_and_without_those_that_cannot(told):
    jobs, car = told
    photos = [(1, car.at, "good", PNG), (2, car.at, "broken", PNG[:40])]
    whole = hand_over(car, jobs, photos)
    assert whole.startswith(b"%PDF")
    assert len(whole) > len(hand_over(car, jobs, []))


def test_the_report_of_a_new_book_is_set(tmp_path):
    with make_book(tmp_path / "b.book", opening()) as book:
        record = book.record()
        jobs = jobs_of(book, record)
        assert hand_over(car_now(record, jobs.costs, "b"), jobs, []).startswith(b"%PDF")


@pytest.mark.parametrize("app", [None, "http://bay2:8000", "https://shop.example/app/"])
def test_a_code_reads_back(app):
    names = ("toe@rear", "joint@arm_bolt", "later_12@rear_left")
    link = card_link(BOOK, names, app)
    assert read_link(link) == (BOOK, names)
    assert "//book" not in link


def test_a_list_too_long_for_a_code_opens_everything():
    link = card_link(BOOK, [f"joint@{k:060d}" for k in range(40)])
    assert len(link) < MOST
    assert read_link(link) == (BOOK, ())


@pytest.mark.parametrize("link", ["", "toe@rear", f"cornerwright:/book/{BOOK}", f"x/book/{BOOK}/card?jobs=<b>"])
def test_another_text_is_refused(link):
    with pytest.raises(Refusal):
        read_link(link)


def test_the_code_drawn_is_the_code_of_its_text():
    """Dark squares of the SVG against the matrix of the same text: as wide, as dark, with its quiet zone."""
    text = card_link(BOOK, ["toe@rear"])
    matrix = [list(row) for row in segno.make(text, error="m", micro=False).matrix_iter(border=4)]
    svg = code_svg(text)
    assert f'width="{len(matrix)}"' in svg
    dark = [[0] * len(matrix) for _ in matrix]
    path = re.search(r' d="([^"]+)"', svg)[1]
    x = y = 0.0
    for command, numbers in re.findall(r"([Mmh])([-\d. ]+)", path):
        values = [float(one) for one in numbers.split()] if " " in numbers.strip() else [float(numbers)]
        if command == "M":
            x, y = values
        elif command == "m":
            x, y = x + values[0], y + values[1]
        else:
            for k in range(int(values[0])):
                dark[int(y)][int(x) + k] = 1
            x += values[0]
    assert dark == [[int(one) for one in row] for row in matrix]
