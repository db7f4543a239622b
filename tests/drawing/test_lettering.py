"""Widths, breaks and figures of the drawings' lettering."""

from __future__ import annotations

import json

import pytest
import typst
from hypothesis import given
from hypothesis import strategies as st

from cornerwright.drawing.lettering import (
    ASCENT,
    DESCENT,
    FONT,
    LEADING,
    Block,
    clip,
    counted,
    figure,
    mixed,
    reading_words,
    spread,
    text_width,
    ticks,
    wrap,
)


@pytest.mark.parametrize("words", ["camber −1.52°", "+2 1/4 turns", "WWWW iiii", "Ösel ±½ Ж λ"])
@pytest.mark.parametrize("weight", ["regular", "bold"])
def test_width_is_that_of_the_font_which_typst_embeds(words: str, weight: str) -> None:
    """Second road: typst's own shaping of the same text in the same face."""
    source = (
        "#set text(font: sys.inputs.font, size: 100mm, fallback: false, weight: sys.inputs.weight, "
        'top-edge: "bounds", bottom-edge: "bounds")\n'
        "#context [#metadata(measure(text(sys.inputs.words)).width.mm()) <w>]"
        "#context [#metadata(measure(text(sys.inputs.words)).height.mm()) <h>]"
    )
    inputs = {"font": FONT.split(",")[0], "words": words, "weight": weight}
    found = [
        json.loads(typst.query(source.encode(), selector, field="value", one=True, sys_inputs=inputs,
                               ignore_system_fonts=True))
        for selector in ("<w>", "<h>")
    ]  # fmt: skip
    assert text_width(words, 100.0) == pytest.approx(found[0], rel=1e-3)
    assert found[1] <= 100.0 * (ASCENT + DESCENT)


def test_lines_of_a_text_do_not_touch() -> None:
    assert LEADING >= ASCENT + DESCENT


@given(st.text(max_size=200), st.floats(2.5, 6.0), st.floats(8.0, 80.0))
def test_wrapped_lines_fit_and_hold_every_letter(words: str, size: float, room: float) -> None:
    lines = wrap(words, size, room)
    assert all(text_width(line, size) <= room + 1e-9 for line in lines)
    assert "".join("".join(lines).split()) == "".join(words.split())


@given(st.text(max_size=200), st.floats(8.0, 80.0), st.integers(1, 4))
def test_a_limit_of_lines_is_kept(words: str, room: float, most: int) -> None:
    lines = wrap(words, 2.9, room, most)
    assert len(lines) <= most
    assert all(text_width(line, 2.9) <= room + 1e-9 for line in lines)
    if len(wrap(words, 2.9, room)) > most:
        assert lines[-1].endswith("…")


def test_clip_keeps_what_fits() -> None:
    assert clip("perch", 3.0, 20.0) == "perch"
    assert clip("upper control arm", 3.0, 20.0) == "upper cont…"


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        (2.25, "+2 1/4"),
        (-0.75, "−3/4"),
        (1 / 6, "+1/6"),
        (-3.0, "−3"),
        (0.0, "0"),
        (5 / 12, "+5/12"),
        (1.234, "+1.23"),
    ],
)
def test_amounts_as_a_hand_counts_them(amount: float, words: str) -> None:
    assert mixed(amount) == words


@pytest.mark.parametrize(
    ("amount", "unit", "words"),
    [
        (2.25, "turn", "+2 1/4 turns"),
        (-1.0, "flat", "−1 flat"),
        (-3.0, "notch", "−3 notches"),
        (0.5, "turn", "+1/2 turn"),
        (2.0, "shim", "+2 shims"),
        (-3.5, "mm", "−3.5 mm"),
        (5.0, "mm", "+5 mm"),
        (0.25, "mm", "+0.25 mm"),
    ],
)
def test_amounts_with_their_unit(amount: float, unit: str, words: str) -> None:
    assert counted(amount, unit) == words


def test_no_negative_zero() -> None:
    assert figure(-0.001, 2) == "0.00"
    assert figure(-0.001, 3, signed=True) == "−0.001"
    assert figure(2, 1, signed=True) == "+2.0"


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("spring_held_mm", ("spring held", "mm")),
        ("toe_deg", ("toe", "°")),
        ("cross_weight_percent", ("cross weight", "%")),
        ("load_n", ("load", "N")),
        ("odd", ("odd", "")),
    ],
)
def test_reading_keys_as_words(key: str, words: tuple[str, str]) -> None:
    assert reading_words(key) == words


BLOCKS = st.lists(st.tuples(st.floats(-50, 150), st.floats(1, 12)), max_size=7)


@given(BLOCKS)
def test_spread_blocks_never_overlap_and_stay_inside(shapes: list[tuple[float, float]]) -> None:
    blocks = [Block(*shape) for shape in sorted(shapes)]
    tops = spread(blocks, 0.0, 100.0, 1.0)
    for k, (top, block) in enumerate(zip(tops, blocks, strict=True)):
        assert top >= -1e-9
        assert top + block.height <= 100.0 + 1e-9
        if k:
            assert top >= tops[k - 1] + blocks[k - 1].height + 1.0 - 1e-9


def test_blocks_with_room_stand_where_they_wish() -> None:
    assert spread([Block(10, 4), Block(30, 6)], 0, 100, 1) == [8, 27]


def test_touching_blocks_share_their_shift() -> None:
    first, second = spread([Block(50, 4), Block(50, 4)], 0, 100, 1)
    assert (first, second) == (45.5, 50.5)


def test_a_lane_too_short_is_refused() -> None:
    with pytest.raises(ValueError, match="do not fit"):
        spread([Block(1, 8), Block(2, 8)], 0, 16, 1)


@given(st.floats(-1e4, 1e4), st.floats(0.01, 1e4), st.integers(2, 8))
def test_ticks_are_round_few_and_inside(low: float, span: float, most: int) -> None:
    values, decimals = ticks(low, low + span, most)
    assert len(values) <= most
    assert all(low - 1e-9 <= value <= low + span + 1e-9 for value in values)
    assert all(value == round(value, decimals) for value in values)


def test_ticks_of_a_plain_range() -> None:
    assert ticks(-0.13, 0.13) == ([-0.1, -0.05, 0.0, 0.05, 0.1], 2)
    assert ticks(0, 100, 6) == ([0, 20, 40, 60, 80, 100], 0)
