"""The car from above with its moves."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest
from drawing_samples import check_lettering, move, plan, words_of
from hypothesis import given, settings
from hypothesis import strategies as st

from cornerwright.drawing.above import Look, car_from_above
from cornerwright.drawing.lettering import PLACES, POINT
from cornerwright.model.results_plan import Move

NS = "{http://www.w3.org/2000/svg}"

MOVES = st.builds(
    lambda corner, adjuster, stage, unit, amount, do: move(
        corner, adjuster=adjuster, stage=stage, unit=unit, amount=amount, do=do
    ),
    st.sampled_from((*PLACES, "front", "rear")),
    st.text(min_size=1, max_size=60),
    st.sampled_from(("heights", "toe", "unlisted")),
    st.sampled_from(("turn", "flat", "notch", "mm", "shim")),
    st.integers(-400, 400).map(lambda n: n / 12),
    st.text(max_size=120),
)


@settings(max_examples=80, deadline=None)
@given(
    st.lists(MOVES, max_size=30),
    st.sampled_from((8, 9, 10, 11)),
    st.booleans(),
    st.integers(1, 3),
    st.floats(170, 260),
)
def test_no_two_texts_overlap_and_none_leaves_the_page(
    moves: list[Move], points: float, written: bool, lines: int, width: float
) -> None:
    look = Look(points * POINT, written, lines)
    check_lettering(car_from_above(plan(*moves), width, look))


def ticks_in(svg: str, look: Look) -> list[tuple[float, float]]:
    side = f"{look.tick:.3f}".rstrip("0").rstrip(".")
    return [
        (float(one.get("x", "")), float(one.get("y", "")))
        for one in ET.fromstring(svg).iter(f"{NS}rect")
        if one.get("width") == side and one.get("height") == side
    ]


def test_eight_moves_a_corner_have_a_box_each_at_their_corner() -> None:
    moves = [move(corner, adjuster=f"rod {k}") for corner in PLACES for k in range(8)]
    look = Look()
    drawing = car_from_above(plan(*moves), 190.0, look)
    check_lettering(drawing)
    found = ticks_in(drawing.svg(), look)
    middle = drawing.height / 2
    for left in (True, False):
        for front in (True, False):
            here = [1 for x, y in found if (x < 95) == left and (y < middle) == front]
            assert len(here) == 8


def test_a_move_says_what_how_far_and_which_way() -> None:
    words = words_of(car_from_above(plan(move("rear_right", adjuster="tie_rod"))))
    assert "tie rod" in words
    assert "+2 1/4 turns" in words
    assert "collar towards the spring" in words
    assert "24.0 to 28.5 mm" in words


def test_moves_stand_in_the_order_of_their_stages_and_carry_its_number() -> None:
    drawing = car_from_above(
        plan(move("front_left", adjuster="late", stage="toe"), move("front_left", adjuster="early"))
    )
    at = {box.words: box.top for box in drawing.texts}
    assert at["early"] < at["late"]
    assert at["1"] < at["2"]


def test_a_bar_stands_in_the_middle_of_its_axle() -> None:
    drawing = car_from_above(plan(move("front", adjuster="link f"), move("rear", adjuster="link r")))
    front, rear = (next(box for box in drawing.texts if box.words == name) for name in ("link f", "link r"))
    assert front.bottom < drawing.height / 2 < rear.top
    assert 70 < front.left < front.right < 120


def test_corners_without_moves_say_so() -> None:
    assert words_of(car_from_above(plan())).count("nothing to turn here") == 4


def test_an_unknown_place_is_refused() -> None:
    with pytest.raises(ValueError, match="'boot'"):
        car_from_above(plan(move("boot")))


def test_small_letters_and_pages_are_refused() -> None:
    with pytest.raises(ValueError, match="8 points"):
        car_from_above(plan(), look=Look(2.0))
    with pytest.raises(ValueError, match="170 mm"):
        car_from_above(plan(), 120.0)
