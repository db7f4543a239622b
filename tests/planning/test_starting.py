"""A car from answers: what is asked, what is questioned, what is missing, and that the car so made stands and plans."""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import given as given_by
from hypothesis import settings
from hypothesis import strategies as st

from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.planning.check import check
from cornerwright.planning.plan import plan
from cornerwright.planning.starting.adjuster_steps import OFFERS
from cornerwright.planning.starting.asked import Given, typed
from cornerwright.planning.starting.jack_rows import ratio, rows, standing
from cornerwright.planning.starting.papers import guesses, papers
from cornerwright.planning.starting.remarks import remarks
from cornerwright.planning.starting.steps import missing, notes, steps
from starting_answers import LIP, answers

DAY = date(2026, 5, 3)


def made(change: dict[str, str] | None = None, without: tuple[str, ...] = ()):
    whole = {**answers(), **(change or {})}
    return papers(Given({name: text for name, text in whole.items() if not name.startswith(without or ("-",))}), DAY)


def told(change: dict[str, str], step: str) -> dict[str, str]:
    """Remarks of a step after a change, by question."""
    found = Given({**answers(), **change})
    one = next(one for one in steps(found) if one.name == step)
    return {name: remark.says for name, remark in remarks(one, found).items()}


# ------------------------------------------------------------------- the car


def test_a_car_started_this_way_stands_is_checked_and_plans():
    found = made()
    result = check(found.car)
    assert result.verdict == "good"
    assert result.stand.verdict == "stands"
    moves = plan(found.car, found.readings, found.targets)
    assert moves.verdict == "reaches all targets"
    assert {move.adjuster for move in moves.moves} >= {"perch", "camber_plate"}


def test_it_stands_where_it_was_measured():
    """Springs, weights and heights of the starter belong together: no more apart than rates known to 5 % allow."""
    found = made()
    stand = check(found.car).stand
    for corner in CORNERS:
        read = found.readings.latest.corners[corner].height * 1e3
        assert stand.corners[corner].height_mm == pytest.approx(read, abs=6.0)


def test_values_are_written_as_they_were_typed_and_mean_the_same():
    inches = made({"wheelbase": "96 1/2 in", "front.main.rate": "200 lbf/in", "load.front_left": "590 lb"})
    assert "wheelbase: 96 1/2 in" in inches.car_text
    assert inches.car.wheelbase == pytest.approx(96.5 * 0.0254)
    assert "rate: 200 lbf/in" in inches.car_text
    assert inches.car.front.left.spring.stack[0].rate == pytest.approx(200 * 4.4482216152605 / 0.0254)
    assert "load: 590 lb" in inches.readings_text
    rear = inches.car.rear.left.height_point.at
    assert rear.x == pytest.approx(-96.5 * 0.0254, abs=1e-5)


def test_a_comma_is_a_point():
    assert typed("0,5") == 0.5
    assert typed("−1,25") == -1.25
    assert typed("24 1/8 in") == "24 1/8 in"
    assert made({"front.main.rate": "35,5"}).car.front.left.spring.stack[0].rate == pytest.approx(35500)


def test_what_was_guessed_is_marked_and_doubted():
    found = made()
    words = {f"{one.step}: {one.words}" for one in found.guesses}
    assert {"weights: height of the centre of gravity", "front-wheel: tyre rate", "front-stop: its curve"} <= words
    assert all(one.doubt for one in found.guesses)
    for line in ("cg_height: 500", "gas_force: 120", "unsprung_mass: 35", "rate: 200"):
        assert re.search(rf"{line} +# a guess", found.car_text), line
    assert found.car.note.startswith("Guesses, not measured")
    assert found.car.doubt.cg_height == pytest.approx(0.03)
    assert found.car.doubt.tyre_rate == pytest.approx(0.15)
    measured = made({"cg_height": "510", "front.tyre_rate": "210", "rear.tyre_rate": "210"})
    assert not re.search("cg_height: 510 +# a guess", measured.car_text)
    assert measured.car.doubt.tyre_rate == pytest.approx(0.1)


def test_the_words_beside_a_value_are_those_of_the_starter_file():
    text = made().car_text
    assert "# floor marks under the wheel centres, tape between them, both sides, mean" in text
    assert "# pulled right out" in text
    asked = {one.name: one.how for step in steps(Given(answers())) for one in step.every}
    assert asked["front.damper.open"] == "pulled right out"


def test_an_estimate_carries_its_doubt_and_no_loads_are_read():
    change = {"weigh": "estimate", "total": "2100 lb", "front_share": "56"}
    found = made(change, ("load.",))
    assert found.car.mass.total == pytest.approx(952.5, abs=0.1)
    assert found.car.mass.front == pytest.approx(0.56)
    assert (found.car.doubt.total_mass, found.car.doubt.weight_share) == (pytest.approx(0.05), pytest.approx(0.03))
    assert all(one.load is None for one in found.readings.latest.corners.values())
    assert "share on the left wheels" in {one.words for one in found.guesses}


def test_axles_on_a_weighbridge_are_enough():
    change = {"weigh": "axles", "load.front": "540", "load.rear": "460"}
    found = made(change, tuple(f"load.{corner}" for corner in CORNERS))
    assert found.car.mass.total == pytest.approx(1000)
    assert found.car.mass.front == pytest.approx(0.54)


def test_heights_to_the_hub_mean_the_same_car():
    to_floor = made()
    change = {"height_to": "hub"}
    for corner in CORNERS:
        change[f"height.{corner}"] = str(float(answers()[f"height.{corner}"]) - 285)
    to_hub = made(change)
    for corner in CORNERS:
        one, other = (found.car.corners[corner] for found in (to_floor, to_hub))
        assert one.height_point.at == pytest.approx(other.height_point.at)
        assert one.linkage == other.linkage
    assert to_hub.readings.latest.corners["front_left"].height is None


def test_lifts_are_what_the_lip_comes_nearer():
    found = Given(answers())
    assert standing("front", found) == pytest.approx(LIP["front"])
    assert [row.lift for row in rows("front", found)] == [-60, -40, -20, 0, 20, 40, 60, 80]
    direct = {**answers(), "front.lift_by": "lift"}
    direct |= {f"front.row.{k}.at": str(lift) for k, lift in enumerate(range(-60, 100, 20), start=1)}
    assert [row.lift for row in rows("front", Given(direct))] == [-60, -40, -20, 0, 20, 40, 60, 80]
    assert made(direct).car == made().car
    # The front strut of the starter goes 0.95 mm for each of the wheel, the rear spring 0.70.
    assert ratio("front", "damper", found) == pytest.approx(-0.952, abs=0.005)
    assert ratio("rear", "spring", found) == pytest.approx(-0.70, abs=0.01)


def test_the_right_side_differs_only_where_it_was_read():
    car = made().car
    assert car.front.right.adjusters["tie_rod"].setting == pytest.approx(0.031)
    assert car.front.left.adjusters["tie_rod"].setting == pytest.approx(0.030)
    assert car.front.right.height_point.at.z == pytest.approx(0.638)
    assert car.front.right.height_point.at.y == pytest.approx(-0.71)
    assert car.front.right.adjusters["perch"] == car.front.left.adjusters["perch"]


def test_helper_tender_bar_link_shims_and_spacer_come_into_the_file():
    change = {"rear.stack": "three", "rear.bar": "yes", "rear.bar.rate": "8"}
    for coil, rate, free, block in (("helper", "20", "60", "12"), ("tender", "15", "40", "9")):
        change |= {f"rear.{coil}.rate": rate, f"rear.{coil}.free": free, f"rear.{coil}.block": block}
    for name, pitch in (("shims", "0.5"), ("bar_link", "1.25"), ("wheel_spacer", ""), ("body", "1.5"), ("arm", "1.5")):
        change |= {f"rear.has.{name}": "yes", f"rear.{name}.low": "0", f"rear.{name}.high": "20"}
        change |= {f"rear.{name}.pitch": pitch} if pitch else {}
        change |= {f"rear.{name}.setting.left": "4"} if name != "bar_link" else {"rear.bar_link.setting": "4"}
    car = made(change).car
    assert [coil.name for coil in car.rear.left.spring.stack] == ["main", "helper", "tender"]
    assert car.rear.bar.link.kind == "bar_link"
    assert car.rear.left.adjusters["shims"].setting == pytest.approx(0.002)
    assert car.rear.left.adjusters["wheel_spacer"].effect.half_track == pytest.approx(1e-3)
    assert {one.kind for one in car.adjusters().values()} >= {
        "perch",
        "body",
        "rod",
        "shim",
        "spacer",
        "bar_link",
        "cam",
    }


def test_every_kind_of_adjuster_is_offered():
    from typing import get_args

    from cornerwright.model.adjuster import AdjusterKind

    assert {one.kind for one in OFFERS} == set(get_args(AdjusterKind))


# ------------------------------------------------------------------- what is missing


def test_nothing_entered_says_all_that_is_missing_and_makes_nothing():
    empty = Given({})
    gaps = {(gap.step, gap.says) for gap in missing(empty)}
    assert {("wheelbase", "wheelbase"), ("front-rows", "three steps of the jack at least")} <= gaps
    with pytest.raises(Refusal) as refused:
        papers(empty, DAY)
    assert len(refused.value.problems) == len(missing(empty)) > 20
    assert guesses(empty)
    assert any("nothing is wanted" in gap.says for gap in notes(empty))


NEEDED = [
    one.name for step in steps(Given(answers())) for one in step.every if one.needed and one.guess is None
]  # fmt: skip


@pytest.mark.parametrize("name", NEEDED)
def test_each_needed_answer_is_missed_when_it_is_not_there(name):
    found = {**answers()}
    found.pop(name)
    assert len(missing(Given(found))) >= 1
    with pytest.raises(Refusal):
        papers(Given(found), DAY)


def test_what_is_not_needed_may_be_left_out():
    bare = {name: text for name, text in answers().items() if name in NEEDED or ".row." in name}
    found = papers(Given(bare), DAY)
    assert check(found.car).stand.verdict == "stands"
    assert found.targets is None
    assert found.car.front.left.adjusters == {}
    assert found.car.front.left.damper.bump_stop is None
    said = " ".join(gap.says for gap in notes(Given(bare)))
    for word in ("nothing to turn", "no bump stop", "no anti-roll bar", "nothing is wanted"):
        assert word in said


def test_an_answer_that_cannot_be_read_is_missing_too():
    found = Given({**answers(), "wheelbase": "long", "front.tyre": "round"})
    assert [gap.step for gap in missing(found)] == ["wheelbase", "front-wheel"]


def test_a_table_that_is_too_short_says_what_it_lacks():
    few = {name: text for name, text in answers().items() if not re.match(r"rear\.row\.([3-9])", name)}
    said = [gap.says for gap in missing(Given(few))]
    assert said == ["three steps of the jack at least"]
    one_way = {name: text for name, text in answers().items() if not re.match(r"rear\.row\.([5-9])", name)}
    one_way.pop("rear.row.4.spring")
    below = Given({**one_way, "rear.row.4.at": "375"})
    assert "steps below standing height and above it" not in [gap.says for gap in missing(Given(answers()))]
    assert [gap.says for gap in missing(below)] == ["steps below standing height and above it"]


# ------------------------------------------------------------------- what is questioned


@pytest.mark.parametrize(
    ("step", "change", "name", "words"),
    [
        ("wheelbase", {"wheelbase": "245"}, "wheelbase", "were these cm"),
        ("wheelbase", {"wheelbase": "96"}, "wheelbase", "were these in"),
        ("wheelbase", {"wheelbase": "2.45"}, "wheelbase", "were these m?"),
        ("wheelbase", {"wheelbase": "-5"}, "wheelbase", "above zero"),
        ("wheelbase", {"wheelbase": "12 kg"}, "wheelbase", "expected a length"),
        ("track", {"rear.track": "1700"}, "rear.track", "280 mm from the front"),
        ("front-wheel", {"front.free_radius": "280"}, "front.free_radius", "more than from hub to floor"),
        ("front-wheel", {"front.tyre": "195/50 R13"}, "front.free_radius", "when new"),
        ("front-wheel", {"front.tyre": "round"}, "front.tyre", "expected"),
        ("weights", {"load.front_left": "100"}, "load.front_left", "% of the car on one wheel"),
        ("heights", {"height.front_right": "590"}, "height.front_right", "50 mm from the left"),
        ("front-springs", {"front.main.block": "250"}, "front.main.block", "less than its free length"),
        ("front-damper", {"front.damper.closed": "545"}, "front.damper.closed", "less than extended"),
        ("front-damper", {"front.damper.stroke": "120"}, "front.damper.stroke", "140 mm"),
        ("front-stop", {"front.stop.length": "140"}, "front.stop.length", "less than the stroke"),
        ("front-stop", {"front.stop.1.squeeze": "10"}, "front.stop.1.force", "both of a row"),
        ("front-rows", {"front.row.3.damper": "489"}, "front.row.3.damper", "does not lie with the other rows"),
        ("front-rows", {"front.row.8.damper": "380"}, "front.row.8.damper", "shorter than the damper"),
        ("front-rows", {"front.row.2.at": "415"}, "front.row.2.at", "same step as row 1"),
        ("front-rows", {"front.row.4.toe": "1 mm"}, "front.row.4.toe", "not a length"),
        ("front-perch", {"front.perch.setting.left": "60"}, "front.perch.setting.left", "between least and greatest"),
        ("front-perch", {"front.perch.high": "4"}, "front.perch.high", "more than the least"),
        ("rear-toe-cam", {"rear.toe_cam.setting.left": "two"}, "rear.toe_cam.setting.left", "number notches"),
        ("wanted", {"want.front.toe.within": "0"}, "want.front.toe.within", "above zero"),
        ("car", {"year": "72.5"}, "year", "whole number"),
    ],
)
def test_a_wrong_value_is_questioned_in_plain_words(step, change, name, words):
    found = told(change, step)
    assert words in found.get(name, "nothing was said"), found


def test_right_values_are_not_questioned():
    found = Given(answers())
    assert {step.name: remarks(step, found) for step in steps(found) if remarks(step, found)} == {}


def test_lengths_that_run_the_wrong_way_are_questioned():
    upside_down = {f"front.row.{k}.damper": f"{400 + 18 * k}" for k in range(1, 9)}
    assert any("gets longer as the wheel goes up" in says for says in told(upside_down, "front-rows").values())


# ------------------------------------------------------------------- whatever is typed


TEXTS = st.one_of(
    st.text(max_size=20),
    st.floats(allow_nan=True, allow_infinity=True).map(str),
    st.sampled_from(
        ["yes", "no", "estimate", "axles", "hub", "apart", "around", "two", "three", "0", "1e308", "1/0 in"]
    ),
)
CHOICES = ("weigh", "height_to", "total", "front.stack", "rear.bar", "front.lift_by", "rear.has.shims")
NAMES = [*sorted(answers()), *CHOICES]


@settings(max_examples=60)
@given_by(st.dictionaries(st.sampled_from(NAMES), TEXTS, max_size=6))
def test_whatever_is_typed_there_are_papers_or_a_refusal(change):
    """No answer brings it down; what is made is a car that reads back."""
    found = Given({**answers(), **change})
    for step in steps(found):
        remarks(step, found)
    guesses(found)
    notes(found)
    try:
        made_car = papers(found, DAY)
    except Refusal:
        return
    assert made_car.car.name == found.text("name")


@settings(max_examples=25)
@given_by(
    st.floats(2000, 3200), st.floats(1200, 1700), st.floats(-40, 40), st.floats(15, 80), st.floats(150, 400)
)  # fmt: skip
def test_numbers_come_into_the_car_as_they_are(base, track, apart, rate, load):
    change = {
        "wheelbase": f"{base:.3f}",
        "front.track": f"{track:.3f}",
        "height.front_right": f"{640 + apart:.2f}",
        "front.main.rate": f"{rate:.3f}",
        "load.rear_left": f"{load:.2f}",
    }
    car = made(change).car
    assert car.wheelbase * 1e3 == pytest.approx(base, abs=1e-3)
    assert car.front.track * 1e3 == pytest.approx(track, abs=1e-3)
    assert car.front.right.height_point.at.z * 1e3 == pytest.approx(640 + apart, abs=0.011)
    assert car.front.left.spring.stack[0].rate / 1e3 == pytest.approx(rate, abs=1e-3)
    assert car.mass.total == pytest.approx(268 + 272 + load + 231, abs=0.02)
