"""The SVG writer."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cornerwright.drawing.svg import OUTLINE, Drawing, clean

NS = "{http://www.w3.org/2000/svg}"


def page() -> Drawing:
    return Drawing(100.0, 50.0, "a page")


def find(drawing: Drawing, tag: str) -> list[ET.Element]:
    return ET.fromstring(drawing.svg()).findall(f".//{NS}{tag}")


def test_the_page_is_in_mm_of_paper() -> None:
    root = ET.fromstring(page().svg())
    assert (root.get("width"), root.get("height")) == ("100mm", "50mm")
    assert root.get("viewBox") == "0 0 100 50"
    assert root.findtext(f"{NS}title") == "a page"


@given(st.text())
def test_any_text_is_escaped_and_can_be_read_back(words: str) -> None:
    drawing = Drawing(10.0, 10.0, words)
    drawing.text(1, 5, words, 3.0)
    root = ET.fromstring(drawing.svg())
    wanted = clean(words).replace("\r\n", "\n").replace("\r", "\n")
    assert [one.text for one in root.iter(f"{NS}text")] == ([wanted] if wanted.strip() else [])
    assert {one.tag.removeprefix(NS) for one in root.iter()} <= {"svg", "title", "rect", "g", "text"}


def test_markup_in_a_text_stays_text() -> None:
    drawing = page()
    drawing.text(1, 5, '<script>x</script> & "q"', 3.0)
    assert [one.text for one in find(drawing, "text")] == ['<script>x</script> & "q"']


def test_forbidden_characters_are_replaced() -> None:
    drawing = page()
    drawing.text(1, 5, "a\x00b\ud800c", 3.0)
    assert [one.text for one in find(drawing, "text")] == ["a\ufffdb\ufffdc"]


def test_same_calls_same_bytes() -> None:
    def draw() -> str:
        drawing = page()
        with drawing.group((3, 4), 30, 2):
            drawing.dimension((0, 0), (10, 0), 5, upright=False)
            drawing.text(1, 1, "x", 2.0)
        return drawing.svg()

    assert draw() == draw()


def test_a_coordinate_that_is_no_number_is_refused() -> None:
    with pytest.raises(ValueError, match="nan"):
        page().line(0, 0, math.nan, 1)


@pytest.mark.parametrize(("anchor", "left"), [("start", 50.0), ("middle", 44.0), ("end", 38.0)])
def test_the_box_of_a_text(anchor: str, left: float) -> None:
    drawing = page()
    drawing.text(50, 20, "abcd", 12.0 / (4 * 0.602), anchor)
    box = drawing.texts[0]
    assert box.left == pytest.approx(left)
    assert box.right == pytest.approx(left + 12.0)


def test_boxes_follow_nested_groups() -> None:
    drawing = page()
    with drawing.group((10, 20), 90), drawing.group((5, 0), scale=2):
        drawing.text(0, 0, "ab", 1.0)
    box = drawing.texts[0]
    # Turned a quarter clockwise, what ran right runs down, what was above lies to the right.
    assert (box.left, box.top) == pytest.approx((10 - 2 * 0.24, 25))
    assert (box.right, box.bottom) == pytest.approx((10 + 2 * 0.93, 25 + 2 * 2 * 0.602))
    assert [g.get("transform") for g in find(drawing, "g") if g.get("transform")] == [
        "translate(10 20) rotate(90)",
        "translate(5 0) scale(2)",
    ]


def test_a_dimension_has_two_extension_lines_and_two_heads() -> None:
    drawing = page()
    drawing.dimension((10, 40), (30, 35), 45, upright=False)
    assert len(find(drawing, "line")) == 3
    tips = sorted(one.get("points", "").split()[0] for one in find(drawing, "polygon"))
    assert tips == ["10,45", "30,45"]


def test_arrows_of_a_short_dimension_stand_outside() -> None:
    drawing = page()
    drawing.dimension((10, 40), (12, 40), 45, upright=False)
    spots = [[float(spot.split(",")[0]) for spot in one.get("points", "").split()] for one in find(drawing, "polygon")]
    assert all(max(xs) <= 10 or min(xs) >= 12 for xs in spots)


def test_an_open_shape_has_no_fill_and_a_shape_without_pen_no_stroke() -> None:
    drawing = page()
    drawing.polyline([(0, 0), (1, 1)], OUTLINE)
    drawing.rect(0, 0, 1, 1, None, "#123456")
    assert find(drawing, "polyline")[0].get("fill") == "none"
    assert find(drawing, "rect")[1].get("stroke") == "none"
