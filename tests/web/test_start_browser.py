"""A new car in a real browser: from an empty folder to the second plan, and nothing lost on the way."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from browsing import SIZES, SMALL, Serving, opened, sync_api
from seeing import comes

from cars_in_hand import car_folder
from cornerwright.model.carfile import load_car, load_targets
from cornerwright.planning.starting.asked import Given
from cornerwright.planning.starting.steps import steps
from cornerwright.web.ledger import Ledger
from starting_answers import answers


@pytest.fixture
def empty(tmp_path) -> Iterator[Serving]:
    """An app where there is no car, nor a folder."""
    made = Serving(tmp_path / "shed")
    yield made
    made.kill()


@pytest.fixture
def entered(tmp_path) -> Iterator[Serving]:
    """An app with every answer but the last entered."""
    folder = tmp_path / "shed"
    folder.mkdir()
    write_answers(folder, {name: text for name, text in answers().items() if name != "want.cross"})
    made = Serving(folder)
    yield made
    made.kill()


def write_answers(folder: Path, given: dict[str, str]) -> None:
    ledger = Ledger(folder / "car.entered.jsonl")
    ledger.put_all({f"start.{name}": text for name, text in given.items()})
    ledger.close()


def stored(where: Path) -> dict[str, str]:
    """What is on the disk, by field."""
    found = {}
    for file in where.glob("*.entered.jsonl"):
        for line in file.read_text().splitlines():
            one = json.loads(line)
            found[one["field"]] = one["text"]
    return found


def wait_stored(where: Path, wanted: dict[str, str]) -> None:
    """Until the disk has all of it."""

    def missing() -> dict[str, str]:
        found = stored(where)
        return {name: text for name, text in wanted.items() if found.get(name) != text}

    assert comes(lambda: not missing()), f"not on the disk: {missing()}"


def locate(page, name: str):
    return page.locator(f'input[data-field="{name}"]')


def answer_step(page, serving: Serving, step, given: dict[str, str]) -> None:
    """All answers of one step, choices first, as a hand gives them."""
    wanted = {}
    for one in step.questions:
        text = given.get(one.name)
        if text is None or not (one.choices or one.tick):
            continue
        if one.tick:
            page.get_by_role("checkbox", name=one.words, exact=True).click()
        else:
            page.get_by_role("button", name=dict(one.choices)[text], exact=True).click()
        wait_stored(serving.where, {f"start.{one.name}": text})
    now = next(found for found in steps(Given(given)) if found.name == step.name)
    for one in now.every:
        text = given.get(one.name)
        if text is None or one.choices or one.tick:
            continue
        field = locate(page, f"start.{one.name}")
        if field.count() == 0 and step.figure == "rows":
            page.get_by_role("button", name="Another row").click()
            field.wait_for()
        field.fill(text)
        wanted[f"start.{one.name}"] = text
    wait_stored(serving.where, wanted)


def the_rest_of_the_job(page, serving: Serving) -> None:
    """Measure, plan, tick, measure again, plan again."""
    page.get_by_text("front left").first.wait_for()
    page.goto(serving.url + "/measure")
    locate(page, "read.front_left.height").wait_for()
    page.wait_for_timeout(300)
    first = {
        f"read.{corner}.{name}": text
        for corner, values in {
            "front_left": ("641", "268", "-0.60", "0.08"),
            "front_right": ("639", "272", "-0.70", "0.02"),
            "rear_left": ("646", "229", "-1.15", "0.12"),
            "rear_right": ("643", "231", "-1.25", "0.06"),
        }.items()
        for name, text in zip(("height", "load", "camber", "toe"), values, strict=True)
    }
    _read(page, serving, first)
    _plan(page)
    cards = page.get_by_role("checkbox")
    count = cards.count()
    assert count > 0
    for k in range(count):
        cards.nth(k).click()
        page.get_by_text(f"{k + 1} of {count} moves made").wait_for()
    page.get_by_text("All is turned: read the car again").click()
    locate(page, "read.front_left.height").wait_for()
    page.wait_for_timeout(300)
    second = {name: _expected(page, name) for name in first}
    assert second["read.front_left.height"] != first["read.front_left.height"]
    _read(page, serving, second)
    _plan(page)


def _read(page, serving: Serving, values: dict[str, str]) -> None:
    for name, text in values.items():
        locate(page, name).fill(text)
    wait_stored(serving.where, values)
    page.get_by_role("button", name="Keep this round").click()
    page.get_by_text("No plan yet").wait_for()


def _plan(page) -> None:
    page.get_by_role("button", name="Work out what to turn").click()
    page.get_by_text("What the gauges will show").wait_for()


def _expected(page, name: str) -> str:
    """What the gauge should show, as the screen has it."""
    told = page.locator(".plate", has=locate(page, name)).inner_text()
    return re.search(r"expected ([−\d.]+)", told)[1]


def test_a_new_car_by_hand_on_the_phone_to_the_second_plan(browser, empty):
    given = answers()
    page, troubles = opened(browser, empty.url)
    asked: dict[str, str] = {}
    walked = []
    while True:
        page.wait_for_url(re.compile("/start/"))
        name = page.url.rsplit("/", 1)[1]
        if name == "all":
            break
        walked.append(name)
        page.get_by_role("link", name="Next").last.wait_for()
        page.wait_for_timeout(150)
        step = next(one for one in steps(Given(asked)) if one.name == name)
        choices = {one.name for one in step.questions if one.choices or one.tick}
        asked |= {key: text for key, text in given.items() if key in choices}
        mine = {one.name for found in steps(Given(given)) if found.name == name for one in found.every}
        asked |= {key: text for key, text in given.items() if key in mine}
        answer_step(page, empty, step, asked)
        with page.expect_navigation():
            page.get_by_role("link", name="Next").last.click()
    assert walked == [one.name for one in steps(Given(given))]
    page.get_by_text("all there").wait_for()
    page.get_by_role("button", name="Write the car").click()
    page.get_by_role("heading", name="The floor").wait_for()
    page.get_by_text("Shed special").first.wait_for()
    car = load_car(empty.where / "car.yaml")
    assert (car.name, car.year, len(car.adjusters())) == ("Shed special", 1972, 10)
    assert load_targets(empty.where / "targets.yaml").bands()[None, "cross_weight"].aim == pytest.approx(0.5)
    the_rest_of_the_job(page, empty)
    assert troubles == []


def test_a_new_car_with_a_book_on_the_desktop_to_the_second_plan(browser, entered):
    page, troubles = opened(browser, entered.url + "/start/wanted", "desktop")
    page.wait_for_timeout(300)
    locate(page, "start.want.cross").fill("50")
    wait_stored(entered.where, {"start.want.cross": "50"})
    page.get_by_role("link", name="Next").last.click()
    page.get_by_role("button", name="Write it with a book").click()
    page.get_by_role("heading", name="The floor").wait_for()
    page.get_by_text("Shed special").first.wait_for()
    assert load_car(entered.where / "car.yaml").name == "Shed special"
    assert (entered.where / "car.book").is_dir()
    the_rest_of_the_job(page, entered)
    assert troubles == []
    # Opened again, it is the book that is opened.
    entered.kill()
    entered.start()
    page.context.close()
    page, troubles = opened(browser, entered.url + "/history")
    page.get_by_text(re.compile("targets set")).first.wait_for()


def test_a_reload_and_a_dead_server_lose_no_answer(browser, empty):
    page, _ = opened(browser, empty.url + "/start/front-wheel")
    page.wait_for_timeout(300)
    locate(page, "start.front.centre_height").press_sequentially("11 1/4 in", delay=15)
    wait_stored(empty.where, {"start.front.centre_height": "11 1/4 in"})
    page.reload()
    sync_api.expect(locate(page, "start.front.centre_height")).to_have_value("11 1/4 in")
    # The guess beside it follows what was entered, inches and all.
    page.get_by_text("left out: 297.8 mm, a guess").wait_for()
    empty.kill()
    locate(page, "start.front.free_radius").fill("297")
    page.wait_for_timeout(300)
    empty.start()
    page.goto(empty.url)
    page.wait_for_url("**/start/front-wheel")
    wait_stored(empty.where, {"start.front.free_radius": "297"})
    for name, text in (("centre_height", "11 1/4 in"), ("free_radius", "297")):
        sync_api.expect(locate(page, f"start.front.{name}")).to_have_value(text)
    # A step on and one back: nothing is lost.
    for way in ("Next", "Back"):
        with page.expect_navigation():
            page.get_by_role("link", name=way).first.click()
    sync_api.expect(locate(page, "start.front.centre_height")).to_have_value("11 1/4 in")


def test_a_wrong_value_is_questioned_at_its_field_at_once(browser, entered):
    page, _ = opened(browser, entered.url + "/start/front-damper")
    page.wait_for_timeout(300)
    locate(page, "start.front.damper.closed").fill("560")
    page.get_by_text("expected less than extended, 545 mm").wait_for()
    page.locator('[data-field="start.front.damper.closed"][aria-invalid="true"]').wait_for()
    locate(page, "start.front.damper.closed").fill("405")
    page.get_by_text("expected less than extended, 545 mm").wait_for(state="hidden")
    locate(page, "start.front.damper.stroke").fill("120")
    page.get_by_text("extended less compressed is 140 mm").wait_for()
    page.goto(entered.url + "/start/wheelbase")
    page.wait_for_timeout(300)
    locate(page, "start.wheelbase").fill("245")
    page.get_by_text("were these cm? Then write cm behind it.").wait_for()
    page.goto(entered.url + "/start/front-rows")
    page.wait_for_timeout(300)
    locate(page, "start.front.row.3.damper").fill("489")
    page.get_by_text("does not lie with the other rows").wait_for()


@pytest.mark.parametrize("path", ["/start/wheelbase", "/measure"])
def test_two_phones_see_each_other(browser, tmp_path, path):
    """How soon, benchmarks/bench_phones.py measures."""
    folder = tmp_path / "shed"
    if path == "/measure":
        folder = car_folder(tmp_path)
        field, text = "read.rear_left.toe", "0.31"
    else:
        field, text = "start.wheelbase", "2450"
    serving = Serving(folder)
    try:
        one, _ = opened(browser, serving.url + path)
        other, _ = opened(browser, serving.url + path)
        for page in (one, other):
            locate(page, field).wait_for()
        locate(one, field).fill(text)
        sync_api.expect(locate(other, field)).to_have_value(text)
    finally:
        serving.kill()


def test_every_step_is_large_enough_fits_the_phone_and_passes_the_scan(browser, entered):
    """WCAG 2.1 A and AA, as far as axe-core can tell."""
    scan = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    rules = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}}
    # The rear's steps are the front's in other words.
    names = [step.name for step in steps(Given(answers())) if step.place != "rear" or step.name == "rear-toe-cam"]
    scanned = ("car", "weights", "front-rows", "front-adjusters", "all")
    for scheme in ("light", "dark"):
        page, troubles = opened(browser, entered.url, color_scheme=scheme)
        for name in (*names, "all") if scheme == "light" else scanned:
            page.goto(f"{entered.url}/start/{name}")
            page.get_by_role("heading", level=1).wait_for()
            assert page.evaluate(SMALL) == [], name
            assert page.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"][0], name
            if name in scanned:
                found = scan.run(page, options=rules).response["violations"]
                assert [(one["id"], [node["html"][:120] for node in one["nodes"]][:3]) for one in found] == [], name
        assert troubles == []


def test_another_car_is_begun_beside_an_open_one(browser, tmp_path):
    folder = car_folder(tmp_path)
    ledger = Ledger(folder / "another.entered.jsonl")
    ledger.put_all({f"start.{name}": text for name, text in answers().items()})
    ledger.close()
    serving = Serving(folder)
    try:
        page, troubles = opened(browser, serving.url + "/more")
        page.get_by_role("link", name="Begin another car").click()
        page.get_by_role("link", name="All steps").first.click()
        page.get_by_role("button", name="Write the car").click()
        page.get_by_text("The new car lies in").wait_for()
        assert load_car(tmp_path / "shed-special" / "car.yaml").name == "Shed special"
        assert load_car(folder / "car.yaml").name != "Shed special"
        assert troubles == []
    finally:
        serving.kill()
