"""The job in a real browser, with the app in a process of its own. Left out where there is no Chromium."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from browsing import CHROMIUM, PHRASE, SIZES, Serving, opened, sync_api, whole
from seeing import comes

from cars_in_hand import car_folder
from cornerwright.web.desk import Desk


@pytest.fixture
def serving(tmp_path) -> Iterator[Serving]:
    made = Serving(car_folder(tmp_path))
    yield made
    made.kill()


@pytest.fixture(scope="module")
def looked_at(tmp_path_factory) -> Iterator[Serving]:
    """For tests that write nothing down."""
    made = Serving(car_folder(tmp_path_factory.mktemp("looked_at")))
    yield made
    made.kill()


def field(page, name: str):
    return page.locator(f'input[data-field="read.{name}"]')


def settled(serving: Serving, text: str) -> bool:
    """Whether the disk has it."""
    ledger = next(serving.where.glob("*.entered.jsonl"))
    return comes(lambda: f'"{text}"' in ledger.read_text())


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


def said(page, name: str) -> str:
    """A text beside the drawing of a corner."""
    return page.locator(f'[data-t="{name}"]').inner_text()


def test_the_wheel_follows_the_finger(browser, looked_at):
    page, troubles = opened(browser, looked_at.url + "/corner/front_left")
    whole(page)
    page.wait_for_timeout(500)
    before = said(page, "bump")
    grip = page.locator(".grip")
    box = grip.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for k in range(8):
        page.mouse.move(x, y - 4 * k)
        page.wait_for_timeout(60)
    page.mouse.up()
    page.wait_for_function("was => document.querySelector('[data-t=bump]').innerText !== was", arg=before)
    sliders = page.locator('input[type="range"]')
    assert float(sliders.first.input_value()) > 10
    lock = said(page, "toe"), said(page, "near")
    page.mouse.move(x, y)
    page.mouse.down()
    for k in range(8):
        page.mouse.move(x - 5 * k, y - k / 2)
        page.wait_for_timeout(60)
    page.mouse.up()
    page.wait_for_function("was => document.querySelector('[data-t=toe]').innerText !== was", arg=lock[0])
    assert float(sliders.nth(1).input_value()) > 5
    sliders.first.focus()
    page.keyboard.press("Home")
    page.wait_for_function("() => cwCorner.at.lift < Number(document.querySelector('[data-handle=lift]').min) + 0.1")
    page.wait_for_function("() => document.querySelector('.spoken').innerText.includes('from behind')")
    assert troubles == []


def test_a_drawing_that_was_changed_bit_by_bit_is_the_whole_drawing(browser, looked_at, tmp_path):
    """After many moves the picture on the screen is the one that the last place has."""
    page, troubles = opened(browser, looked_at.url + "/corner/front_right")
    whole(page)
    page.wait_for_timeout(500)
    for name, way in (("lift", 12), ("turn", -20), ("lift", -31.5), ("turn", 14), ("lift", 40)):
        page.locator(f'input[data-handle="{name}"]').fill(str(way))
        page.wait_for_timeout(100)
        page.wait_for_function("() => !cwCorner.busy && !cwCorner.wait")
    (tmp_path / "other").mkdir()
    desk = Desk(car_folder(tmp_path / "other"))
    shown = desk.places("front_right").at(40.0, 14.0)
    desk.close()
    wanted = [[tag, look, text] for tag, look, text in shown.shapes]
    there = """() => [...document.querySelector('.drawing svg > g').children].map(
      e => [e.tagName, Object.fromEntries([...e.attributes].map(a => [a.name, a.value])), e.textContent])"""
    assert page.evaluate(there) == wanted
    assert said(page, "near") == shown.texts["near"][0]
    assert troubles == []


@pytest.mark.parametrize("corner", ["front_left", "rear_right"])
def test_drawing_handles_and_facts_are_on_the_phone_together(browser, looked_at, corner):
    page, _ = opened(browser, looked_at.url + f"/corner/{corner}")
    whole(page)
    page.wait_for_timeout(800)
    fold = page.locator(".walk").bounding_box()["y"]
    for one in (".framed", 'input[data-handle="lift"]', ".nearest", ".fact.spring"):
        box = page.locator(one).bounding_box()
        assert box["y"] >= 0, one
        assert box["y"] + box["height"] <= fold, one


@pytest.mark.parametrize("drawn", ["solid", "lines"])
def test_the_corner_turns_with_a_finger_and_with_keys(browser, drawn, tmp_path):
    """With WebGL (in software here) as solid parts; without it the same parts as lines."""
    more = ["--use-angle=swiftshader", "--enable-unsafe-swiftshader"] if drawn == "solid" else ["--disable-3d-apis"]
    serving = Serving(car_folder(tmp_path, "skerry_nine"))
    try:
        with browser.browser_type.launch(executable_path=CHROMIUM, args=["--no-sandbox", *more]) as own:
            page, troubles = opened(own, serving.url + "/corner/front_left")
            whole(page)
            page.wait_for_timeout(500)
            page.get_by_role("button", name="view in three dimensions").click()
            canvas = page.locator(".solid canvas")
            page.wait_for_function(
                "() => document.querySelector('.solid').dataset.drawn && cwCorner.solid?.meshes.length"
            )
            found = page.locator(".solid").get_attribute("data-drawn")
            if drawn == "solid" and found != "solid":
                pytest.skip("this Chromium has no WebGL, not even in software")
            assert found == drawn
            page.wait_for_timeout(500)
            pictures = [canvas.screenshot()]
            box = canvas.bounding_box()
            page.mouse.move(box["x"] + 150, box["y"] + 100)
            page.mouse.down()
            page.mouse.move(box["x"] + 220, box["y"] + 130, steps=4)
            page.mouse.up()
            page.wait_for_timeout(400)
            pictures.append(canvas.screenshot())
            canvas.focus()
            for key in ("ArrowRight", "ArrowRight", "ArrowUp", "+"):
                page.keyboard.press(key)
            page.wait_for_timeout(400)
            pictures.append(canvas.screenshot())
            page.locator('input[data-handle="lift"]').fill("-45")
            page.wait_for_timeout(600)
            pictures.append(canvas.screenshot())
            assert len(set(pictures)) == 4
            assert "three dimensions" in canvas.get_attribute("aria-label")
            page.get_by_role("button", name="drawing from behind").click()
            assert not canvas.is_visible()
            assert troubles == []
    finally:
        serving.kill()


def test_a_held_button_goes_on(browser, looked_at):
    page, troubles = opened(browser, looked_at.url + "/corner/rear_left")
    whole(page)
    page.wait_for_timeout(500)
    tap = page.get_by_role("button", name="perch: one step on")
    tap.scroll_into_view_if_needed()
    page.evaluate("scrollBy(0, 200)")
    box = tap.bounding_box()
    page.mouse.move(box["x"] + 20, box["y"] + 20)
    page.mouse.down()
    page.locator(".adjuster summary").get_by_text(re.compile(r"\+[1-9].* turns")).wait_for()
    page.mouse.up()
    page.get_by_role("button", name="all back").wait_for()
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
        # It leads on to what was asked for.
        field(page, "front_left.height").wait_for()
        assert page.url.endswith("/measure")
    finally:
        serving.kill()
