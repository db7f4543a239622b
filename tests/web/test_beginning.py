"""A car that is being entered, without a browser: where it may begin, what is kept, written and refused."""

from __future__ import annotations

import asyncio

import pytest
from nicegui.testing.user_simulation import user_simulation
from seeing import comes_meanwhile, seen

import cornerwright as cw
from cars_in_hand import car_book, car_folder
from cornerwright.book.book import Book
from cornerwright.model.errors import Refusal
from cornerwright.web.beginning import Beginning, has_car, is_new
from cornerwright.web.desk import Desk
from cornerwright.web.serving import beginning_pages
from starting_answers import answers


@pytest.fixture
def begun(tmp_path):
    made = Beginning(tmp_path / "shed")
    yield made
    made.close()


def entered(begun: Beginning, **change: str) -> None:
    for name, text in {**answers(), **change}.items():
        begun.enter(name, text)


def test_where_a_car_may_begin(tmp_path):
    assert is_new(tmp_path / "shed")
    (tmp_path / "empty").mkdir()
    assert is_new(tmp_path / "empty")
    (tmp_path / "empty" / "notes.txt").write_text("of the car")
    assert is_new(tmp_path / "empty")
    assert not is_new(tmp_path / "mycar.yaml")
    assert not is_new(tmp_path / "none" / "shed")
    folder = car_folder(tmp_path)
    for where in (folder, folder / "car.yaml", car_book(tmp_path)):
        assert has_car(where)
        assert not is_new(where)


def test_answers_are_there_after_opening_again(begun, tmp_path):
    begun.enter("wheelbase", " 96 1/2 in ")
    begun.enter("name", "Shed special")
    begun.enter("name", "")
    begun.look_at("track")
    begun.close()
    again = Beginning(tmp_path / "shed")
    assert again.given.text("wheelbase") == "96 1/2 in"
    assert again.given.text("name") == ""
    assert again.at == "track"
    again.close()


def test_a_second_app_on_the_same_beginning_is_refused(begun, tmp_path):
    with pytest.raises(Refusal, match="open in another app"):
        Beginning(tmp_path / "shed")


@pytest.mark.parametrize("name", ["", "Name", "a b", "../x", "x" * 200])
def test_a_name_that_no_question_has_is_refused(begun, name):
    with pytest.raises(Refusal):
        begun.enter(name, "1")


def test_nothing_is_written_while_something_is_missing(begun):
    entered(begun, wheelbase="")
    with pytest.raises(Refusal, match="wheelbase is missing"):
        begun.write(False)
    assert [one.name for one in begun.folder.iterdir()] == ["car.entered.jsonl"]


def test_the_papers_are_those_that_the_commands_read(begun, cornerwright):
    entered(begun)
    place = begun.write(False, "R.")
    assert cw.load_car(place / "car.yaml").name == "Shed special"
    assert cw.load_readings(place / "readings.yaml").latest.who == "R."
    assert cw.load_targets(place / "targets.yaml").bands()
    assert begun.given.under("") == []
    done = cornerwright("check", place / "car.yaml", "--json")
    assert done.status == 0
    done = cornerwright(
        "plan", place / "car.yaml", "--readings", place / "readings.yaml", "--targets", place / "targets.yaml", "--json"
    )
    assert done.status == 0
    assert done.answer["moves"]


def test_a_book_is_made_with_all_of_it_and_opened_in_its_folder(begun):
    entered(begun)
    place = begun.write(True, "R.")
    with Book.open(place / "car.book") as book:
        assert [line.plain["body"]["kind"] for line in book.log()] == ["car", "targets", "reading"]
    opened = []
    begun.open(opened.append)
    desk = opened[0]
    assert desk.papers.book is not None
    assert desk.state.car.to_document() == cw.load_car(place / "car.yaml").to_document()
    assert desk.state.readings.latest.front_left.height == pytest.approx(0.64)


def test_files_that_are_there_are_not_written_over(begun):
    entered(begun)
    (begun.folder / "readings.yaml").write_text("format: mine\n")
    with pytest.raises(Refusal, match="a file that is there already"):
        begun.write(False)
    assert (begun.folder / "readings.yaml").read_text() == "format: mine\n"
    assert not has_car(begun.folder)
    # What a crash left of this beginning is.
    (begun.folder / "readings.yaml").unlink()
    begun.write(False)
    entered(begun)
    (begun.folder / "car.yaml").unlink()
    begun.write(False)
    assert has_car(begun.folder)


def test_a_car_that_is_there_is_refused(begun):
    entered(begun)
    begun.write(False)
    entered(begun)
    with pytest.raises(Refusal, match="a car that is there already"):
        begun.write(False)


def test_another_car_goes_into_a_folder_beside_named_after_it(tmp_path):
    folder = car_folder(tmp_path)
    begun = Beginning(folder, folder / "another.entered.jsonl")
    entered(begun, name="../../Étoile & Co")
    assert begun.place.parent == tmp_path
    assert begun.write(False) == tmp_path / "toile-co"
    assert cw.load_car(tmp_path / "toile-co" / "car.yaml").name == "../../Étoile & Co"
    begun.close()


def test_a_folder_that_cannot_be_made_is_named(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(Refusal, match="file"):
        Beginning(tmp_path / "file")


def test_the_screens_lead_from_the_first_step_to_the_car(begun):
    """Without a browser: the root leads to Start, ticks bring steps, the papers open the floor."""
    entered(begun)

    async def whole() -> None:
        async with user_simulation() as user:
            beginning_pages(begun)
            await user.open("/start/front-adjusters")
            await seen(user, "Front: what a spanner can turn")
            user.find(marker="front.has.shims").click()
            await seen(user, "shims under an arm")
            assert begun.given.ticked("front.has.shims")
            await user.open("/start/front-shims")
            await seen(user, "thickness of one")
            await user.open("/start/all")
            await seen(user, "missing")
            begun.enter("front.has.shims", "")
            await user.open("/start/all")
            await seen(user, "all there")
            user.find("Write the car").click()
            assert await comes_meanwhile(lambda: isinstance(begun.desk, Desk))
            await user.open("/")
            await seen(user, "The floor")

    asyncio.run(whole())
