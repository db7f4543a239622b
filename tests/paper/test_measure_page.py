"""The page "Measure your car" says what the app asks, with the same drawings."""

from __future__ import annotations

from cornerwright.drawing.how_to import FIGURES
from cornerwright.paper.measure_page import FOLDER, PAGE, measure_page, pictures, shown_steps
from cornerwright.planning.starting.asked import SPRINGS
from shared import PROJECT


def test_the_page_is_as_the_steps_have_it():
    """If not: `python -m cornerwright.paper.measure_page docs`."""
    assert (PROJECT / "docs" / PAGE).read_text(encoding="utf-8") == measure_page()


def test_its_drawings_are_all_there_and_as_they_are_drawn():
    folder = PROJECT / "docs" / FOLDER
    drawn = pictures()
    assert sorted(file.name for file in folder.iterdir()) == sorted(drawn)
    assert {name.removesuffix(".svg") for name in drawn} == set(FIGURES)
    for name, svg in drawn.items():
        assert (folder / name).read_text(encoding="utf-8") == svg


def test_whoever_takes_a_spring_out_is_warned():
    for step in shown_steps():
        if step.figure in ("unsprung", "springs", "damper", "jacking", "bar", "perch"):
            assert SPRINGS in step.cautions, step.title


def test_every_question_is_on_it():
    text = " ".join(measure_page().split())
    for step in shown_steps():
        for one in step.questions:
            assert one.words.removeprefix("front ") in text
