"""Choosing parts: quick figures against the standing car, the set that nothing beats against brute force, edges."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from pydantic import ValidationError
from scipy.optimize import minimize_scalar

import cornerwright as cw
from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.report import stand
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.turn_inputs import turn_inputs
from cornerwright.mechanics.cornering import axle_roll_stiffness, lean, slow_roll
from cornerwright.model.carfile import load_car, load_targets
from cornerwright.model.errors import Refusal
from cornerwright.model.shelf import Shelf, ShelfBar
from cornerwright.model.target import Targets
from cornerwright.planning.shelf import PartSet, car_with_parts, with_set
from cornerwright.planning.shelf_axle import axle_sets, options
from cornerwright.planning.shelf_order import ordered
from cornerwright.planning.shelf_pairs import Pairing, misses, wanted
from shared import PROJECT
from workshop import car_with, example_targets
from workshop import example_car as bare_car

WISHES = {
    "front_frequency": {"aim": 2.0, "within": 0.06},
    "rear_frequency": {"aim": 2.15, "within": 0.05},
    "roll": {"at_most": 2.35},
    "front_transfer": {"aim": 55, "within": 1.0},
    "most_price": 400,
}


def stocked(car, which="tarn_fell"):
    """The car with the example's shelf."""
    shelf = cw.load_shelf(PROJECT / "examples" / which / "shelf.yaml").shelf()
    return car.model_copy(update={"shelf": shelf})


def example_car():
    return stocked(bare_car())


def skerry():
    folder = PROJECT / "examples" / "skerry_nine"
    return stocked(load_car(folder / "car.yaml"), "skerry_nine"), load_targets(folder / "targets.yaml")


def wishing(ride):
    """The example's heights and angles, with these wishes of the ride."""
    return Targets.model_validate({**example_targets().to_document(), "ride": ride})


def with_wishes(**changes):
    return wishing({**WISHES, **changes})


def paired(car, targets):
    rig = Rig(car)
    turned = turn_inputs(car)
    base = turned.car
    axles = axle_sets(car, rig, rig.vary().stand(), targets, turned)
    kept = [axle.take(np.flatnonzero(axle.broken() == "")) for axle in axles]
    return axles, Pairing(kept[0], kept[1], base, targets.ride, wanted(targets.ride))


@pytest.mark.parametrize("which", ["tarn_fell", "skerry_nine"])
def test_quick_figures_are_those_of_the_standing_car(which):
    """Every set of the shelf fitted, its perch and body set as found: the stance gives the same car."""
    car, targets = (example_car(), example_targets()) if which == "tarn_fell" else skerry()
    axles, _ = paired(car, targets)
    aims = [getattr(targets, axle.end).height.aim for axle in axles]
    for a, axle in enumerate(axles):
        for k, one in enumerate(axle.sets):
            if axle.broken()[k] not in ("", "perch", "held"):
                continue
            fitted = with_set(car, axle.end, one)
            settings = {}
            for b, both in enumerate(axles):
                row = k if b == a else 0
                for side in ("left", "right"):
                    corner = getattr(getattr(fitted, both.end), side)
                    seat, body = both.figures.seat[row], both.figures.body[row]
                    if "body" in corner.adjusters:
                        settings[f"{both.end}_{side}.body"] = corner.adjusters["body"].measured_at + body
                    turned = seat - (body if both.bench.around and "body" in corner.adjusters else 0.0)
                    settings[f"{both.end}_{side}.perch"] = corner.adjusters["perch"].measured_at + turned
            variant = Rig(fitted.at_settings(settings)).vary()
            stance = variant.stand()
            if not stance.stands[0]:
                continue
            at = outputs(variant, stance, gradients=False)
            own = slice(2 * a, 2 * a + 2)
            assert at.corner["height"][0, own].mean() == pytest.approx(aims[a], abs=1.5e-3)
            if axle.broken()[k] == "":
                assert at.corner["spring_held"][0, own].mean() == pytest.approx(axle.figures.room["held"][k], abs=1e-3)
                assert at.corner["droop_left"][0, own].mean() == pytest.approx(
                    axle.figures.room["droop_left"][k], abs=2e-3
                )
            told = stand(fitted.at_settings(settings)).corners
            found = np.mean([v.ride_frequency_hz for n, v in told.items() if n.startswith(axle.end)])
            assert found == pytest.approx(axle.figures.frequency[k], rel=5e-3)


@pytest.mark.parametrize("changes", [{}, {"limit_push": {"at_least": -12}}, {"stroke_used": {"at_most": 60}}])
def test_the_set_that_nothing_beats_is_that_of_brute_force(changes):
    targets = with_wishes(**changes)
    _, pairing = paired(example_car(), targets)
    every = np.array(list(product(range(len(pairing.front.sets)), range(len(pairing.rear.sets)))))
    one_by_one = [
        np.append(misses(figures, pairing.bands)[0], figures["price"])
        for figures in (pairing.figures(pair[None]) for pair in every)
    ]
    best = {
        tuple(mine)
        for mine in one_by_one
        if not any((other <= mine).all() and (other < mine).any() for other in one_by_one)
    }
    found = pairing.costs(pairing.front_of())
    assert {tuple(row) for row in found} == best
    assert len(found) == len(best)
    assert len(best) < len(every)


def test_blocks_leave_nothing_out(monkeypatch):
    _, pairing = paired(example_car(), with_wishes())
    whole = pairing.front_of()
    monkeypatch.setattr("cornerwright.planning.shelf_pairs.BLOCK", 7)
    assert pairing.front_of().tolist() == whole.tolist()
    assert pairing.best_of_each().keys() == pairing.bands.keys()


def test_slow_roll_is_that_of_the_car_that_leans():
    base = replace(turn_inputs(example_car()).car, rolling=None)
    for stiff in ([30e3, 20e3], [60e3, 15e3]):
        roll, share = slow_roll(base, stiff)
        leaning = lean(replace(base, roll_stiffness=np.array(stiff)), 0.5)
        assert roll == pytest.approx(leaning.roll / 0.5)
        assert share == pytest.approx(leaning.transfer[0] / leaning.transfer.sum())
    assert np.isinf(slow_roll(base, [1.0, 1.0])[0])


def test_balance_between_the_table_and_itself():
    """Push and understeer come from a table over roll stiffness: close to the balance at each set's own."""
    _, pairing = paired(example_car(), with_wishes(limit_push={"at_least": -12}))
    pairs = np.array([[0, 0], [3, 2], [5, 1]])
    told = pairing.figures(pairs)
    for k, (f, r) in enumerate(pairs):
        car = with_set(with_set(example_car(), "front", pairing.front.sets[f]), "rear", pairing.rear.sets[r])
        turned = cw.corner(car)
        assert told["roll"][k] == pytest.approx(np.radians(turned.roll_deg_per_g), rel=0.03)
        assert told["front_transfer"][k] == pytest.approx(turned.front_transfer_slow_percent / 100, abs=0.005)
        push = (turned.limit.front_used_percent - turned.limit.rear_used_percent) / 100
        assert told["limit_push"][k] == pytest.approx(push, abs=0.02)


def test_a_rate_made_to_order_is_the_bounded_optimum():
    """One free rate, one wish: the rate that a bounded search on the same figure finds."""
    car, targets = example_car(), wishing({"rear_frequency": {"aim": 2.1, "within": 0.001}})
    _, pairing = paired(car, targets)
    wound = next(one for one in pairing.rear.sets if one.springs and one.springs[0].rate_up_to is not None)
    _, found = ordered(pairing, PartSet(), wound)
    spring = found.springs[0]

    def off(rate):
        tried = PartSet((spring.model_copy(update={"rate": float(rate)}),))
        again = pairing.joined([], [tried])
        return abs(again.rear.figures.frequency[-1] - 2.1)

    best = minimize_scalar(off, bounds=(60e3, 110e3), method="bounded", options={"xatol": 5.0}).x
    assert spring.rate == pytest.approx(best, abs=110.0)
    assert spring.rate % 100 == pytest.approx(0.0)


def test_choices_are_planned_and_say_what_they_give_up():
    car, targets = example_car(), with_wishes()
    told = cw.choose(car, targets, most=3)
    assert told.tried >= told.within_limits > 0
    assert [one.letter for one in told.choices] == sorted(one.letter for one in told.choices)
    assert any(not one.parts for one in told.choices) or told.choices[0].meets_all
    bands = wanted(targets.ride)
    for one in told.choices:
        assert one.price == pytest.approx(sum(part.price for part in one.parts))
        after = car_with_parts(car, one.parts)
        moves = {f"{m.corner}.{m.adjuster}": m.to_mm / 1e3 for m in one.plan.moves}
        after = after.at_settings(moves)
        # The figures are those that the other commands tell of the car with these parts, turned as planned.
        standing = cw.stand(after).corners
        rear = np.mean([standing[f"rear_{side}"].ride_frequency_hz for side in ("left", "right")])
        assert one.figures["rear_frequency_hz"].value == pytest.approx(rear, rel=1e-4)
        assert one.figures["roll_deg_per_g"].value == pytest.approx(cw.corner(after).roll_deg_per_g, rel=1e-4)
        assert standing["front_left"].height_mm == pytest.approx(605, abs=4)
        outside = [name for name, figure in one.figures.items() if figure.outside]
        over = one.price > 400
        assert one.meets_all == (not outside and not over)
        assert one.gives_up.startswith("nothing") == one.meets_all
        low, high = one.figures["roll_deg_per_g"].low, one.figures["roll_deg_per_g"].high
        assert low is None
        assert high == pytest.approx(np.degrees(bands["roll"].high))
    # None of them beats another.
    costs = [
        [*(one.figures[key].outside or 0.0 for key in sorted(one.figures)), one.price_outside, one.price]
        for one in told.choices
    ]
    for mine, other in product(costs, costs):
        assert mine == other or not all(a <= b for a, b in zip(mine, other, strict=True))


def test_what_stands_in_the_way_is_said():
    told = cw.choose(example_car(), wishing({"front_frequency": {"aim": 3.0, "within": 0.05}}), most=1)
    assert told.verdict == "gives something up"
    assert not told.choices[0].meets_all
    (way,) = told.in_the_way
    assert way.wish == "front_frequency_hz"
    assert "nothing within the car's limits" in way.says
    assert "N/mm would" in way.says
    assert way.nearest == pytest.approx(told.choices[0].figures["front_frequency_hz"].value, abs=0.02)


def test_nothing_fits_where_every_spring_comes_loose():
    short = {"name": "short", "fits": "rear", "rate": 150, "free_length": 120, "block_length": 84, "price": 10}
    car = car_with({"rear.*.spring.stack.0.free_length": 150, "shelf": {"springs": [short]}})
    told = cw.choose(car, with_wishes(), most=1)
    assert told.verdict == "nothing fits"
    assert told.choices == ()
    assert told.in_the_way[0].wish == "rear"
    assert sum(row.count for row in told.left_out if row.place == "rear") == 2


def test_options_are_every_combination():
    car = example_car()
    own = options(car, "rear")
    springs = 1 + 1 + 7  # the one there, a pair, seven rates of the one wound to order
    assert len(own) == springs * 2 * 2
    assert own[0] == PartSet()
    assert len(set(map(repr, own))) == len(own)


def test_parts_go_in_and_the_rest_stays():
    car = example_car()
    bar = ShelfBar.model_validate({"name": "bar", "fits": "rear", "rate": 9})
    fitted = with_set(car, "rear", PartSet(bar=bar, dampers=car.shelf.dampers[0]))
    assert fitted.rear.bar.rate == pytest.approx(9e3)
    assert fitted.rear.left.damper.open == pytest.approx(0.428)
    assert fitted.rear.left.spring == car.rear.left.spring
    assert fitted.front == car.front
    none = car.model_copy(update={"rear": car.rear.model_copy(update={"bar": None})})
    assert with_set(none, "rear", PartSet(bar=bar)).rear.bar.rate == pytest.approx(9e3)
    stiffness = axle_roll_stiffness(20e3, 9e3, 1.352)
    assert stiffness > axle_roll_stiffness(20e3, 3.5e3, 1.352)


def test_shelves_and_wishes_that_are_refused():
    spring = {"name": "a", "fits": "front", "rate": 40, "free_length": 180, "block_length": 60}
    with pytest.raises(ValidationError, match="rate_up_to must be above rate"):
        Shelf.model_validate({"springs": [{**spring, "rate_up_to": 30}]})
    with pytest.raises(ValidationError, match="two bars"):
        Shelf.model_validate({"bars": [{"name": "b", "fits": "rear", "rate": 4}] * 2})
    between = [{"on": "body", "at": [0, 0, 0]}, {"on": "carrier", "at": [0, 0, 1]}]
    damper = {"open": 400, "closed": 300, "between": between}
    with pytest.raises(ValidationError, match="own mounts"):
        Shelf.model_validate({"dampers": [{"name": "d", "fits": "rear", "damper": damper}]})
    with pytest.raises(ValidationError, match="none of them is hard"):
        wishing({"roll": {"at_most": 2, "hard": True}})
    with pytest.raises(Refusal, match="what is wanted of the ride"):
        cw.choose(example_car(), example_targets().model_copy(update={"ride": type(example_targets().ride)()}))
    with pytest.raises(Refusal, match="to choose from"):
        cw.choose(car_with({"shelf": {}}), with_wishes())
    bare = stocked(car_with({"front.*.damper.curve": None}))
    with pytest.raises(Refusal, match="rows of speed"):
        cw.choose(bare, with_wishes(stroke_used={"at_most": 70}))
