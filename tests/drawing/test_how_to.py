"""The drawings that show how to measure: one for each step, lettered without overlap, in words for who does not see."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from cornerwright.drawing.how_to import FIGURES, how_to
from cornerwright.planning.starting.adjuster_steps import OFFERS
from cornerwright.planning.starting.asked import Given
from cornerwright.planning.starting.steps import steps
from cornerwright.web.look import on_screen

EVERY = Given({f"{end}.has.{one.name}": "yes" for end in ("front", "rear") for one in OFFERS} | {
    "front.bar": "yes", "rear.bar": "yes"
})  # fmt: skip


def test_each_step_has_its_drawing_and_no_drawing_is_idle():
    assert {step.figure for step in steps(EVERY)} == set(FIGURES)


@pytest.mark.parametrize("name", FIGURES)
def test_its_words_stand_on_the_page_and_on_no_other(name):
    drawing = how_to(name)
    for k, one in enumerate(drawing.texts):
        assert 0 <= one.left < one.right <= drawing.width, one
        assert 0 <= one.top < one.bottom <= drawing.height, one
        assert [other.words for other in drawing.texts[k + 1 :] if one.overlaps(other)] == []


@pytest.mark.parametrize("name", FIGURES)
def test_no_shape_is_cut_by_the_edge_of_the_page(name):
    drawing = how_to(name)
    for one in ET.fromstring(drawing.svg())[2]:
        spots = [tuple(map(float, spot.split(","))) for spot in one.get("points", "").split()]
        if one.get("x1") is not None:
            spots += [(float(one.get(f"x{k}")), float(one.get(f"y{k}"))) for k in (1, 2)]
        for x, y in spots:
            assert 0 <= x <= drawing.width, one.attrib
            assert 0 <= y <= drawing.height, one.attrib


@pytest.mark.parametrize("name", FIGURES)
def test_it_says_what_is_measured_and_takes_the_colours_of_the_screen(name):
    drawing = how_to(name)
    root = ET.fromstring(drawing.svg())
    assert len(root[0].text.split()) >= 5
    assert drawing.texts
    shown = on_screen(drawing.svg())
    assert 'fill="var(--plate)"' in shown
    assert '"#' not in shown
    if name not in ("adjusters", "from_above"):
        # Something stands in the colour of what is to be measured.
        assert "var(--mark)" in shown
