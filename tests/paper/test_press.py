"""Typst as a press: offline, packaged, its errors told apart."""

from __future__ import annotations

from importlib import resources

import pytest
import typst
from card_samples import pages

from cornerwright.paper import press as press_module
from cornerwright.paper.press import DoesNotFitError, covered, press

TEMPLATES = ("brakes.typ", "card.typ", "sheet.typ", "page.typ")


@pytest.mark.parametrize("name", TEMPLATES)
def test_templates_are_in_the_package_and_import_nothing_from_outside(name: str) -> None:
    text = resources.files("cornerwright.paper").joinpath(name).read_text("utf-8")
    assert "@preview" not in text
    assert "@local" not in text
    for word in ("read(", "plugin(", "eval(", "cbor(", "yaml(", "csv("):
        assert word not in text


@pytest.mark.parametrize(
    ("text", "yes"),
    [("Ösel −1.5° ± ½ → ≥ …", True), ("Привет λ", True), ("车", False), ("🚗", False)],
)
def test_letters_that_the_embedded_fonts_hold(text: str, yes: bool) -> None:
    assert covered(text) is yes


def given_templates(monkeypatch: pytest.MonkeyPatch, main: str) -> None:
    monkeypatch.setattr(press_module, "_template", lambda name: main.encode())


def test_an_error_of_the_template_is_not_taken_for_a_small_page(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    given_templates(monkeypatch, '#panic("something else")')
    with pytest.raises(typst.TypstError, match="something else"):
        press("main", {})
    given_templates(monkeypatch, '#panic("it does not fit on one page")')
    with pytest.raises(DoesNotFitError):
        press("main", {})


def test_a_template_cannot_reach_the_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    given_templates(monkeypatch, '#read("/etc/hostname")')
    with pytest.raises(typst.TypstError):
        press("main", {})


def test_pages_are_counted_as_they_are(monkeypatch: pytest.MonkeyPatch) -> None:
    given_templates(monkeypatch, "a #pagebreak() b #pagebreak() c")
    assert pages(press("main", {})) == 3
