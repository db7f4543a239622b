"""Every screen, looked at once in each size and scheme: it fits, what is tapped is large, and a scan finds nothing."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from browsing import SIZES, SMALL, Serving, opened, whole

from cars_in_hand import car_book, car_folder

MAIN = ("/", "/corner/front_left", "/measure", "/plan", "/jobs", "/more")
OF_A_BOOK = (
    "/joints", "/joint?name=front_left.fastening", "/parts", "/part/rear_left.spring.0", "/parts/other", "/brakes",
    "/history", "/history/write", "/history/compare", "/learned", "/more", "/jobs", "/road", "/choose", "/why",
)  # fmt: skip
RULES = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}}
GROUND = {"light": "rgb(230, 235, 238)", "dark": "rgb(14, 20, 23)"}


@pytest.fixture(scope="module")
def files(tmp_path_factory) -> Iterator[Serving]:
    made = Serving(car_folder(tmp_path_factory.mktemp("files")))
    yield made
    made.kill()


@pytest.fixture(scope="module")
def book(tmp_path_factory) -> Iterator[Serving]:
    made = Serving(car_book(tmp_path_factory.mktemp("book")))
    yield made
    made.kill()


@pytest.mark.parametrize(("size", "scheme"), [("phone", "light"), ("phone", "dark"), ("desktop", "light")])
@pytest.mark.parametrize("of", ["files", "book"])
def test_it_fits_its_taps_are_large_and_a_scan_finds_nothing(browser, request, of, size, scheme):
    """WCAG 2.1 A and AA, as far as axe-core can tell."""
    scan = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    url = request.getfixturevalue(of).url
    page, troubles = opened(browser, url, size, color_scheme=scheme)
    found = []
    for path in MAIN if of == "files" else OF_A_BOOK:
        whole(page, url + path)
        if path == "/plan":
            page.get_by_role("button", name="Work out what to turn").click()
            page.get_by_text("What the gauges will show").wait_for()
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0], path
        assert page.evaluate(SMALL) == [], path
        assert page.evaluate("getComputedStyle(document.body).backgroundColor") == GROUND[scheme], path
        for one in scan.run(page, options=RULES).response["violations"]:
            found.append((path, one["id"], [node["html"][:120] for node in one["nodes"]][:3]))
    assert found == []
    assert troubles == []
