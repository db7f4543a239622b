"""Every pair of colours is read at arm's length, dark and light."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from cornerwright.web.look import SHAPE_ON, SIGNS, TEXT_ON, THEMES, contrast, on_screen, style
from cornerwright.web.screens import corner


def test_contrast_is_that_of_the_guidelines():
    # WCAG 2.1: black on white is 21 to 1; #767676 is the lightest grey that passes on white (4.54).
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)
    assert contrast("#ffffff", "#767676") == contrast("#767676", "#ffffff")


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("text", "ground"), TEXT_ON)
def test_text_is_read(theme, text, ground):
    assert contrast(THEMES[theme][text], THEMES[theme][ground]) >= 4.5


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("shape", "ground"), SHAPE_ON)
def test_shapes_are_seen(theme, shape, ground):
    assert contrast(THEMES[theme][shape], THEMES[theme][ground]) >= 3.0


def test_every_text_colour_of_the_sheet_is_among_the_pairs():
    used = set(re.findall(r"(?<![-\w])color:var\(--([a-z-]+)\)", style()))
    assert used <= {text for text, _ in TEXT_ON}
    assert set(re.findall(r"var\(--([a-z-]+)\)", style())) <= set(THEMES["light"])
    assert THEMES["light"].keys() == THEMES["dark"].keys()


def test_every_colour_of_the_corner_is_among_the_pairs():
    sheet = (Path(corner.__file__).parent / "corner.css").read_text(encoding="utf-8")
    used = set(re.findall(r"(?<![-\w])color:var\(--([a-z-]+)\)", sheet))
    assert used <= {text for text, _ in TEXT_ON}
    assert set(re.findall(r"var\(--([a-z-]+)\)", sheet)) <= {*THEMES["light"], "shape"}


def test_what_is_tapped_is_large():
    assert "min-height:48px" in style()
    assert "min-width:48px" in style()
    assert ":focus-visible" in style()


def test_a_drawing_takes_the_colours_of_the_screen():
    svg = '<svg width="100mm" height="50mm" viewBox="0 0 100 50"><line stroke="#000000"/><rect fill="#ffffff"/></svg>'
    shown = on_screen(svg)
    assert "mm" not in shown
    assert 'stroke="var(--ink)"' in shown
    assert 'fill="var(--plate)"' in shown
    assert not any(f'"{colour}"' in shown for colour in SIGNS)
