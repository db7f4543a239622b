"""Choosing parts in the app."""

from __future__ import annotations

import asyncio

import pytest
from nicegui.testing.user_simulation import user_simulation
from seeing import seen

from cars_in_hand import car_folder
from cornerwright.model.errors import Refusal
from cornerwright.web.choice_work import ChoiceWork
from cornerwright.web.desk import Desk, Stopped
from cornerwright.web.serving import pages
from shared import PROJECT

SHELF = PROJECT / "examples" / "tarn_fell" / "shelf.yaml"


@pytest.fixture
def folder(tmp_path):
    return car_folder(tmp_path)


@pytest.fixture
def desk(folder):
    made = Desk(folder)
    yield made
    made.close()


def quiet(share: float, what: str) -> None:
    """Nobody looks."""


def test_a_car_without_a_shelf_says_where_one_is_looked_for(desk, folder):
    (folder / "shelf.yaml").unlink(missing_ok=True)
    with pytest.raises(Refusal, match=r"shelf\.yaml"):
        ChoiceWork(desk).choose(quiet)


def test_a_shelf_that_cannot_be_read_is_refused_by_its_line(desk, folder):
    text = SHELF.read_text(encoding="utf-8")
    (folder / "shelf.yaml").write_text(text.replace("rate: 45 N/mm", "rate: 45 apples"), encoding="utf-8")
    with pytest.raises(Refusal, match=r"shelf\.yaml:7"):
        ChoiceWork(desk).choose(quiet)


def test_the_choices_are_shown_and_kept_until_the_shelf_changes(desk, folder):
    (folder / "shelf.yaml").write_bytes(SHELF.read_bytes())
    work = ChoiceWork(desk)

    def stop(share: float, what: str) -> None:
        if share > 0.0:
            raise Stopped

    with pytest.raises(Stopped):
        work.choose(stop)
    assert work.last() is None
    found = work.choose(quiet)
    assert work.last() is found
    assert found.choices
    assert "<svg" in work.picture(found, 92.0)

    async def whole() -> None:
        async with user_simulation() as user:
            pages(desk)
            await user.open("/choose")
            user.find("Weigh the shelf").click()
            await seen(user, found.verdict)
            await seen(user, f"gives up {found.choices[0].gives_up}")

    asyncio.run(whole())
    (folder / "shelf.yaml").write_text(SHELF.read_text(encoding="utf-8") + "\n# another\n", encoding="utf-8")
    assert work.last() is None
