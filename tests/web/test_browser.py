"""The job in a real browser, with the app in a process of its own. Left out where there is no Chromium."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest
from browsing import PHRASE, SIZES, SMALL, Serving, opened, sync_api

from cars_in_hand import car_folder


@pytest.fixture
def serving(tmp_path) -> Iterator[Serving]:
    made = Serving(car_folder(tmp_path))
    yield made
    made.kill()


def field(page, name: str):
    return page.locator(f'input[data-field="read.{name}"]')


def settled(serving: Serving, text: str) -> bool:
    """Whether the disk has it within two seconds."""
    ledger = next(serving.where.glob("*.entered.jsonl"))
    for _ in range(40):
        if f'"{text}"' in ledger.read_text():
            return True
        time.sleep(0.05)
    return False


@pytest.mark.parametrize("size", SIZES)
def test_from_the_floor_to_the_second_round(browser, serving, size):
    page, troubles = opened(browser, serving.url, size)
    page.get_by_text("Work out what to turn").click()
    page.get_by_role("button", name="Work out what to turn").click()
    page.get_by_text("What the gauges will show").wait_for()
    cards = page.get_by_role("checkbox")
    count = cards.count()
    for k in range(count):
        cards.nth(k).click()
        page.get_by_text(f"{k + 1} of {count} moves made").wait_for()
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
    page.get_by_text("All is turned: read the car again").click()
    field(page, "front_left.height").fill("605.2")
    field(page, "rear_left.height").fill("616.4")
    assert settled(serving, "616.4")
    page.get_by_role("button", name="Keep this round").click()
    page.get_by_text("No plan yet").wait_for()
    readings = (serving.where / "readings.yaml").read_text()
    assert "height: 605.2" in readings
    assert readings.count("settings:") == 2
    assert troubles == []


def test_the_wheel_follows_the_finger(browser, serving):
    page, troubles = opened(browser, serving.url + "/corner/rear_left")
    facts = page.locator(".fact").first
    before = facts.inner_text()
    grip = page.locator(".grip")
    box = grip.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for k in range(8):
        page.mouse.move(x, y - 4 * k)
        page.wait_for_timeout(60)
    page.mouse.up()
    page.wait_for_function("before => document.querySelector('.fact').innerText !== before", arg=before)
    slider = page.locator('input[type="range"]').first
    assert float(slider.input_value()) > 10
    slider.focus()
    page.keyboard.press("Home")
    page.wait_for_function("() => document.querySelectorAll('.fact')[1].innerText.includes('0 mm')")
    assert troubles == []


def test_a_reload_in_mid_entry_loses_nothing(browser, serving):
    page, _ = opened(browser, serving.url + "/measure")
    field(page, "front_left.height").wait_for()
    page.wait_for_timeout(500)
    field(page, "front_left.camber").press_sequentially("-1.85", delay=20)
    assert settled(serving, "-1.85")
    page.reload()
    sync_api.expect(field(page, "front_left.camber")).to_have_value("-1.85")


def test_the_server_killed_in_mid_entry_loses_nothing(browser, serving):
    page, _ = opened(browser, serving.url + "/measure")
    field(page, "front_left.height").wait_for()
    page.wait_for_timeout(500)
    field(page, "front_left.height").fill("606.1")
    assert settled(serving, "606.1")
    serving.kill()
    # Typed while nobody listens: the phone keeps it.
    field(page, "rear_right.height").fill("617.3")
    page.wait_for_timeout(500)
    serving.start()
    page.goto(serving.url + "/measure")
    sync_api.expect(field(page, "front_left.height")).to_have_value("606.1")
    assert settled(serving, "617.3")
    sync_api.expect(field(page, "rear_right.height")).to_have_value("617.3")


def test_two_phones_see_each_other_within_a_second(browser, serving):
    one, _ = opened(browser, serving.url + "/measure")
    other, _ = opened(browser, serving.url + "/measure")
    for page in (one, other):
        field(page, "rear_left.toe").wait_for()
    one.wait_for_timeout(1500)
    field(one, "rear_left.toe").fill("0.31")
    assert settled(serving, "0.31")
    begun = time.perf_counter()
    other.wait_for_function("() => document.querySelector('[data-field=\"read.rear_left.toe\"]').value === '0.31'")
    # Half a second between two looks, and the question whether the value fits the car.
    assert time.perf_counter() - begun < 1.5


def test_on_the_network_the_phrase_is_asked_for(browser, tmp_path):
    serving = Serving(car_folder(tmp_path), "--lan")
    try:
        page, _ = opened(browser, serving.url + "/measure")
        assert field(page, "front_left.height").count() == 0
        page.get_by_label("Pass phrase").fill("a wrong phrase")
        page.get_by_role("button", name="Come in").click()
        page.get_by_text("That is not the pass phrase").wait_for()
        page.get_by_label("Pass phrase").fill(PHRASE)
        page.get_by_role("button", name="Come in").click()
        page.get_by_text("Work out what to turn").wait_for()
        page.goto(serving.url + "/measure")
        field(page, "front_left.height").wait_for()
    finally:
        serving.kill()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_what_is_tapped_is_large_and_nothing_is_wider_than_the_phone(browser, serving, scheme):
    page, troubles = opened(browser, serving.url, color_scheme=scheme)
    for path in ("/", "/corner/front_left", "/measure", "/plan", "/jobs", "/more"):
        page.goto(serving.url + path)
        page.wait_for_timeout(1500)
        small = page.evaluate(SMALL)
        assert small == [], path
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, path
        dark = page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert dark == ("rgb(14, 20, 23)" if scheme == "dark" else "rgb(230, 235, 238)"), path
    assert troubles == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_scan_finds_nothing_against_the_guidelines(browser, serving, scheme):
    """WCAG 2.1 A and AA, as far as axe-core can tell."""
    scan = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    page, _ = opened(browser, serving.url, color_scheme=scheme)
    rules = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}}
    found = []
    for path in ("/", "/corner/front_left", "/measure", "/plan", "/jobs", "/more"):
        page.goto(serving.url + path)
        page.wait_for_timeout(1500)
        if path == "/plan":
            page.get_by_role("button", name="Work out what to turn").click()
            page.get_by_text("What the gauges will show").wait_for()
        for one in scan.run(page, options=rules).response["violations"]:
            found.append((path, one["id"], [node["html"][:120] for node in one["nodes"]][:3]))
    assert found == []
