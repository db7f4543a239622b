"""The work card is one page whatever the plan, and says what there is to say."""

from __future__ import annotations

import shutil
import subprocess
from itertools import pairwise
from typing import Any

import pytest
from card_samples import CAUTIONS, largest, move, pages, reading, readings, usual
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cornerwright.model.results import CAUTION, Finding
from cornerwright.model.results_plan import PlanResult, Stage
from cornerwright.paper import card
from cornerwright.paper.card import LEVELS, corner_sheet, work_card
from cornerwright.paper.press import DoesNotFitError
from scene_samples import corner_scene

needs_pdftotext = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")


def text_of(pdf: bytes) -> str:
    done = subprocess.run(["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True)
    return " ".join(done.stdout.decode("utf-8").split())


@pytest.fixture
def sent(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """What the card hands to the press."""
    caught: list[dict[str, Any]] = []
    real = card.press

    def press(template: str, data: dict[str, Any]) -> bytes:
        caught.append(data)
        return real(template, data)

    monkeypatch.setattr(card, "press", press)
    return caught


def test_a_usual_plan_is_one_page() -> None:
    assert pages(work_card(usual())) == 1


def test_the_largest_plan_is_one_page() -> None:
    plan = largest()
    assert len(plan.moves) == 36
    assert sum(map(len, plan.predicted.values())) == 24
    assert pages(work_card(plan)) == 1
    assert pages(work_card(plan, corner_scene())) == 1


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 36), st.integers(0, 6), st.integers(0, 6), st.text(max_size=60))
def test_every_plan_up_to_the_largest_is_one_page(moves: int, kinds: int, cautions: int, name: str) -> None:
    whole = largest()
    keys = list(whole.predicted["front_left"])[:kinds]
    plan = largest(
        car=name,
        moves=whole.moves[:moves],
        predicted=readings(*keys),
        cautions=("Let the suspension hang before you turn a perch.",) * cautions,
    )
    assert pages(work_card(plan)) == 1


@needs_pdftotext
def test_what_stands_on_the_card() -> None:
    text = text_of(work_card(usual()))
    for wanted in (
        "Brook saloon (invented)", "date", "name", "Reaches all targets", "4 moves", "62 minutes",
        "87 %", "FRONT LEFT", "+2 1/4 turns", "−3 flats", "FRONT BAR", "In this order",
        "Disconnect one link of each bar.", "See: heights within 3 mm", "Read again", "cross",
        "662.3 → 650.3", "±2.4", "[647.3 to 653.3]", "Take care",
    ):  # fmt: skip
        assert wanted in text, wanted
    assert CAUTION in text
    assert CAUTIONS[0] in text


@needs_pdftotext
def test_the_largest_card_leaves_out_no_move_task_or_caution() -> None:
    plan = largest()
    text = text_of(work_card(plan))
    assert text.count("+12 1/4 turns") == 4
    assert text.count("thicker spacer") == 4
    assert text.count("bar link") == 4
    joined = text.replace(" ", "")
    for caution in plan.cautions[:1]:
        assert caution.replace(" ", "") in joined
    assert "BREAKS A HARD LIMIT" in text
    assert "LIMIT rear left" in text
    assert "short: front left" in text
    assert "pressures not given" not in text


@needs_pdftotext
@pytest.mark.parametrize(
    ("verdict", "words"),
    [
        ("reaches all targets", "Nothing to turn"),
        ("falls short", "No move brings it nearer"),
        ("breaks a hard limit", "do not drive"),
        ("no plan", "turn nothing"),
    ],
)
def test_a_card_without_moves_says_so(verdict: Any, words: str) -> None:
    pdf = work_card(usual(verdict=verdict, moves=(), stages=(), predicted={}, cautions=()))
    assert pages(pdf) == 1
    assert words in text_of(pdf)
    assert "0 moves" in text_of(pdf)


@needs_pdftotext
def test_markup_in_a_name_stays_text() -> None:
    nasty = '#[x] $a$ *b* _c_ `d` <e> @f \\ // "g" #panic("h") & ]'
    text = text_of(work_card(usual(car=nasty, cautions=(nasty,))))
    assert text.count(nasty) == 2


@pytest.mark.parametrize("name", ["\ud800 lone", "nul \x00 and \x0b", "车 🚗 مرحبا", "", "x" * 190, "a\nb\r\nc"])
def test_any_name_is_printed(name: str) -> None:
    stage = Stage(name=name, title=name, tasks=(name,), check=name)
    plan = usual(car="x", stages=(stage,), cautions=(name,)).model_copy(update={"car": name})
    assert pages(work_card(plan)) == 1


def test_same_plan_same_bytes() -> None:
    assert work_card(usual(), corner_scene()) == work_card(usual(), corner_scene())


@needs_pdftotext
def test_the_corner_is_drawn_where_there_is_room_and_goes_first() -> None:
    small = usual(moves=(), stages=(), cautions=())
    assert "from behind" in text_of(work_card(small, corner_scene()))
    assert "from behind" not in text_of(work_card(largest(), corner_scene()))


@needs_pdftotext
def test_a_reading_outside_its_range_is_marked() -> None:
    inside = text_of(work_card(usual(predicted=readings("height_mm"))))
    outside = text_of(work_card(usual(predicted=readings("height_mm", inside=False))))
    assert "OUT" not in inside.split()
    assert outside.split().count("OUT") == 4


@pytest.mark.parametrize(
    ("changes", "cell"),
    [
        ({}, {"now": "662.3", "after": "650.3", "give": "2.4", "wanted": "[647.3 to 653.3]"}),
        ({"was_read": False}, {"now": "(662.3)"}),
        ({"now": None}, {"now": "?"}),
        ({"low": 50.0, "high": None, "hard": True}, {"wanted": "[≥ 50] limit"}),
        ({"low": None, "high": -1.5}, {"wanted": "[≤ −1.5]"}),
        ({"low": None, "high": None, "inside": None}, {"wanted": "", "outside": False}),
        ({"low": 0.0}, {"wanted": "[0 to 653.3]"}),
    ],
)
def test_cells_of_the_table(changes: dict[str, Any], cell: dict[str, Any], sent: list[dict[str, Any]]) -> None:
    work_card(usual(predicted={"rear_left": {"height_mm": reading(**changes)}}))
    cells = sent[0]["levels"][0]["rows"][0]["cells"]
    assert [one is None for one in cells] == [True, True, False, True]
    assert cell.items() <= cells[2].items()


def test_the_levels_only_ever_take_away() -> None:
    for before, after in pairwise(LEVELS):
        for name in ("text", "table", "small", "tick", "row", "write", "gap", "lines"):
            assert getattr(after, name) <= getattr(before, name), name
        assert after.settings <= before.settings
        assert after.corner <= before.corner
        assert after.inline >= before.inline
        assert after.only_wanted >= before.only_wanted
    for level in LEVELS:
        assert min(level.text, level.table, level.small) >= 8
        assert level.tick >= 4


def test_left_out_readings_are_named(sent: list[dict[str, Any]]) -> None:
    predicted = readings("height_mm") | {
        "rear_left": {"height_mm": reading(), "load_kg": reading(low=None, high=None, inside=None)}
    }
    work_card(usual(predicted=predicted))
    first, last = sent[0]["levels"][0], sent[0]["levels"][-1]
    assert [row["name"] for row in first["rows"]] == ["height", "load"]
    assert [row["name"] for row in last["rows"]] == ["height"]
    assert first["left_out"] == ""
    assert last["left_out"] == " Nothing wanted of: load."


def test_limits_are_never_cut_from_the_troubles(sent: list[dict[str, Any]]) -> None:
    findings = [Finding(level="warning", place="car", about="w", says=str(k)) for k in range(9)]
    findings += [Finding(level="limit", place="car", about="l", says=str(k)) for k in range(8)]
    work_card(usual(findings=tuple(findings)))
    first, last = sent[0]["levels"][0]["troubles"], sent[0]["levels"][-1]["troubles"]
    assert len(first) == 17
    assert [one["place"] for one in last] == ["LIMIT car"] * 8 + ["9 more warnings"]


def test_stages_keep_their_order_over_two_columns(sent: list[dict[str, Any]]) -> None:
    work_card(usual())
    left, right = sent[0]["stages"]
    assert [one["number"] for one in left + right] == ["1", "2", "3", "4", "5"]
    assert left
    assert right
    assert left[0]["moves"] == "2 moves marked 1 above"


def test_a_plan_that_cannot_fit_is_refused_not_cut() -> None:
    with pytest.raises(DoesNotFitError, match=r"needs \d+ mm, the page has \d+ mm"):
        work_card(usual(cautions=("Take great care. " * 50,) * 40))


def test_a_chance_is_never_shown_as_certain(sent: list[dict[str, Any]]) -> None:
    for chance, words in ((1.0, "99 %"), (0.0, "1 %"), (0.5, "50 %")):
        work_card(usual(chance=chance))
        assert words in sent[-1]["subtitle"]
    work_card(usual(chance=None))
    assert "chance" not in sent[-1]["subtitle"]


def test_a_move_of_an_unlisted_stage_is_still_printed(sent: list[dict[str, Any]]) -> None:
    plan: PlanResult = usual(moves=(move("rear_left", "cam", "odd", "notch", 2.0, "mark out"),))
    work_card(plan)
    assert "+2 notches" in sent[0]["pictures"][0]


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_corner_sheet_is_one_page(side: Any) -> None:
    assert pages(corner_sheet(corner_scene(side=side, corner=f"front_{side}"))) == 1
    crowded = corner_scene(
        car="car " * 60, what="pose " * 60, height_what="height " * 30, droop_end="end " * 40,
        bump_end="end " * 40, tyre_width_mm=None,
    )  # fmt: skip
    assert pages(corner_sheet(crowded)) == 1
