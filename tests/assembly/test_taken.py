"""Readings as taken: cars measured on crooked floors, with strings askew and the driver out, and found again."""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

import second_road
from cornerwright.assembly.level_floor import changes_to_level
from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.taken import as_readings, convert
from cornerwright.mechanics.gauges import steered_camber
from cornerwright.model.carfile import load_readings
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import Reading
from cornerwright.model.taken import GIVES, Taken
from cornerwright.model.units import STANDARD_GRAVITY
from cornerwright.planning.learn import learn
from cornerwright.planning.observe import observations
from cornerwright.planning.plan import plan
from workshop import car_with, example_car, example_reading, example_targets

DEG = math.pi / 180
G = STANDARD_GRAVITY


@cache
def rig():
    return Rig(example_car())


def taken(**parts):
    plain = parts.pop("plain", {})
    return Reading.model_validate({**plain, "taken": parts})


def standing(pads=(0, 0, 0, 0), mass=0.0, at=(0.0, 0.0, 0.0)):
    """What gauges show on the example car on pads [m] with a weight aboard [kg], by another road to its rest.

    A pad lifts the ground; to the second road the tyre is told to be larger by as much.
    """
    places = [f"{end}.{side}.tyre.free_radius" for end in ("front", "rear") for side in ("left", "right")]
    radii = [corner.tyre.free_radius for corner in example_car().corners.values()]
    car = car_with({place: 1e3 * (r + pad) for place, r, pad in zip(places, radii, pads, strict=True)})
    road = second_road.of_document(car)
    road.cg = (road.body_mass * road.cg + mass * np.array(at)) / (road.body_mass + mass)
    road.body_mass += mass
    return road.readings()


# ------------------------------------------------------------------ angles


def test_toe_and_camber_from_rule_and_string():
    found = as_readings(
        taken(
            front_left={
                "toe_strings": {"front_gap": 63, "rear_gap": 62, "diameter": 416},
                "camber_over": {"length": "-1/4 in", "diameter": 416},
            },
            front_right={
                "toe_over": {"length": 1.5, "diameter": 416},
                "camber_plumb": {"top_gap": 30, "bottom_gap": 20, "diameter": 416},
            },
        )
    )
    assert found.taken is None
    assert found.front_left.toe / DEG == pytest.approx(0.1377, abs=5e-5)
    assert found.front_left.camber == pytest.approx(-math.asin(6.35 / 416))
    assert found.front_right.toe == pytest.approx(math.asin(1.5 / 416))
    assert found.front_right.camber == pytest.approx(math.asin(-10 / 416))
    read = observations(found)
    sigma = dict(zip(read.keys, read.scatter, strict=True))
    by_rule = math.sqrt(2) * 0.2 / 416
    assert sigma["front_right", "toe"] == pytest.approx(by_rule, rel=1e-3)
    assert sigma["front_left", "toe"] > 1.05 * by_rule  # the string adds its own
    assert sigma["front_right", "camber"] == pytest.approx(math.hypot(by_rule, 0.00087), rel=0.01)


def test_strings_askew_change_nothing_once_they_are_measured():
    """A car with 0.10 degrees of toe-in at every wheel; strings drawn askew, each by itself."""
    d, base, wheels, strings = 0.4, example_car().wheelbase, {}, {}
    for side, askew in (("left", 0.006), ("right", -0.004)):
        slope = math.atan(askew / base)
        gap = d * math.sin(0.1 * DEG + slope)
        for end in ("front", "rear"):
            gaps = {"front_gap": 1e3 * (0.06 + gap), "rear_gap": 60, "diameter": 400}
            wheels[f"{end}_{side}"] = {"toe_strings": gaps}
        strings[side] = {"front": 1e3 * (0.95 + askew), "rear": 950}
    found = convert(taken(strings=strings, wheelbases={"left": 2512, "right": 2500}, **wheels), rig())
    for corner in found.reading.corners.values():
        assert corner.toe == pytest.approx(0.1 * DEG, abs=1e-10)
    assert found.alignment.rear_total.value == pytest.approx(0.2 * DEG, abs=1e-10)
    assert found.alignment.thrust.value == pytest.approx(0, abs=1e-10)
    assert found.alignment.set_back.value == pytest.approx(0.012)
    by_hubs = {
        side: {"front_hub_gap": 1e3 * (0.95 + askew) - 745, "rear_hub_gap": 950 - 731}
        for side, askew in (("left", 0.006), ("right", -0.004))
    }
    other = as_readings(taken(strings={**by_hubs, "front_hubs": 1490, "rear_hubs": 1462}, **wheels), rig())
    assert other.front_right.toe == pytest.approx(0.1 * DEG, abs=1e-10)


@pytest.mark.parametrize("corner", ["front_left", "front_right"])
@pytest.mark.parametrize("given", ["kingpin", "camber", "nothing"])
def test_caster_from_a_sweep(corner, given):
    axis = {"caster": 6 * DEG, "kingpin": 11 * DEG, "camber": -1 * DEG}
    outward, inward = (steered_camber(steer * DEG, **axis).value / DEG for steer in (20, -20))
    left, right = (outward, inward) if corner == "front_left" else (inward, outward)
    sweep = {"left": {"steer": 20, "camber": left}, "right": {"steer": 20, "camber": right}}
    if given == "kingpin":
        sweep["kingpin"] = 11
    plain = {corner: {"camber": -1}} if given == "camber" else {}
    found = convert(taken(plain=plain, **{corner: {"caster_sweep": sweep}}))
    close = 0.002 if given == "nothing" else 1e-9
    assert found.reading.corners[corner].caster / DEG == pytest.approx(6, abs=close)
    assert 0.08 * DEG < found.reading.corners[corner].scatter.caster < 0.2 * DEG
    assert bool(found.notes) == (given == "nothing")
    assert (corner in found.kingpin) == (given == "camber")
    if given == "camber":
        assert found.kingpin[corner].value / DEG == pytest.approx(11, abs=1e-7)


# ------------------------------------------------------------------ floor, ballast, heights

DRIVER = {"mass": 78, "at": [-1150, 360, 550]}
CONDITIONS = {
    "twisted floor": ({"front_left": 3, "front_right": -1, "rear_left": -2, "rear_right": 2}, None),
    "driver out": (None, "missing"),
    "a passenger too many": (None, "extra"),
    "all at once": ({"front_left": 3, "front_right": -1, "rear_left": -2, "rear_right": 2}, "missing"),
}


@pytest.mark.parametrize("name", list(CONDITIONS))
def test_what_floor_and_load_did_is_taken_out(name):
    floor, which = CONDITIONS[name]
    pads = np.zeros(4) if floor is None else np.array(list(floor.values())) / 1e3
    sign = {None: 0.0, "missing": -1.0, "extra": 1.0}[which]
    at = np.array(DRIVER["at"]) / 1e3
    seen, level = standing(pads, sign * DRIVER["mass"], at), standing()
    car, points = example_car(), rig().height_points
    half = np.array([car.front.track, car.rear.track]) / 2
    plain = {}
    for i, corner in enumerate(CORNERS):
        x, y = points[i, 0], points[i, 1]
        # The floor under the tape: straight across at each axle, and between the axles and beyond them.
        ends = [(pads[2 * k] + pads[2 * k + 1]) / 2 + (pads[2 * k] - pads[2 * k + 1]) / 2 * y / half[k] for k in (0, 1)]
        front = 1 + x / car.wheelbase
        plain[corner] = {
            "height": 1e3 * (seen["height"][i] - front * ends[0] - (1 - front) * ends[1]),
            "load": seen["load"][i] / G,
            "camber": seen["camber"][i] / DEG,
            "toe": seen["toe"][i] / DEG,
        }
    parts = ({} if floor is None else {"floor": floor}) | ({} if which is None else {which: [DRIVER]})
    found = convert(taken(plain=plain, **parts), rig())
    for i, corner in enumerate(CORNERS):
        read = found.reading.corners[corner]
        assert read.load == pytest.approx(level["load"][i], abs=0.02)
        assert read.camber == pytest.approx(level["camber"][i], abs=1e-7)
        assert read.toe == pytest.approx(level["toe"][i], abs=1e-7)
        assert read.height == pytest.approx(level["height"][i], abs=1e-6)
        assert read.scatter.load > Reading().gauges.load
    assert any("corrected" in note.says for note in found.notes)


def test_a_floor_that_slopes_alike_hardly_moves_the_loads():
    tilt = {"front_left": 4, "front_right": -4, "rear_left": 4, "rear_right": -4}
    twist = {"front_left": 4, "front_right": -4, "rear_left": -4, "rear_right": 4}
    by = {}
    for name, floor in (("tilt", tilt), ("twist", twist)):
        change, spread = changes_to_level(Reading(), Taken.model_validate({"floor": floor}), rig())["load"]
        cross = (change[1] + change[2] - change[0] - change[3]) / 2
        by[name] = abs(cross)
        assert (spread > 0).all()
    assert by["tilt"] < 0.1 * by["twist"]


def test_scatter_of_the_floor_by_simulation():
    reading, spread = Reading(), 5e-4
    told = {"front_left": 3, "front_right": -1, "rear_left": -2, "rear_right": 2}
    found = changes_to_level(reading, Taken.model_validate({"floor": told}), rig())["load"][1]
    rng = np.random.default_rng(6)
    pads = np.array(list(told.values())) / 1e3
    variant = rig().vary()
    drawn = pads + spread * rng.standard_normal((400, 4))
    inputs = replace(variant.inputs, tyre_radius=variant.inputs.tyre_radius + drawn)
    wide = {name: np.repeat(getattr(inputs, name), 400, axis=0) for name in ("seat_offset",)}
    stance = replace(rig().vary(unknowns=np.zeros((400, rig().unknowns.size))), inputs=replace(inputs, **wide)).stand()
    by_pads = stance.load.std(axis=0)
    assert (found > 0.9 * by_pads).all()
    assert (found < 1.6 * by_pads).all()


def test_heights_of_other_points_come_to_the_height_points():
    level, points = standing(), rig().height_points
    stance = rig().vary().stand()
    other = points[3] + [0.4, 0.05, -0.45]
    heave, pitch, roll = stance.q[0, :3]
    row = np.array([-math.sin(pitch), math.cos(pitch) * math.sin(roll), math.cos(pitch) * math.cos(roll)])
    plain = {corner: {"height": 1e3 * level["height"][i]} for i, corner in enumerate(CORNERS[:3])}
    raw = {"what": "pivot", "at": [1e3 * float(one) for one in other], "height": 1e3 * float(heave + row @ other)}
    found = as_readings(taken(plain=plain, rear_right={"height_to": raw}), rig()).rear_right
    assert found.height == pytest.approx(level["height"][3], abs=1e-9)
    assert 3e-3 < found.scatter.height < 5e-3


def test_scales_with_zero_and_several_readings():
    four = {corner: {"scale": {"shows": [250, 252, "550 lb"], "zero": 0.5}} for corner in CORNERS}
    found = as_readings(taken(**four)).front_left
    mean = (250 + 252 + 550 * 0.45359237) / 3 - 0.5
    assert found.load == pytest.approx(mean * G)
    assert found.scatter.load == pytest.approx(np.std([250, 252, 550 * 0.45359237], ddof=1) * G / math.sqrt(3))


def test_height_of_the_centre_of_gravity():
    car = example_car()
    base, radius, total, h = car.wheelbase, 0.3, 1200.0, 0.52
    level, steps = 0.54 * total, []
    for lift in (0.4, 0.6):
        slope = math.tan(math.asin(lift / base))
        steps.append({"lift": 1e3 * lift, "load": level + total * slope * (h - radius) / base})
    raised = {"axle": "rear", "steps": steps, "level": level, "total": total}
    raised |= {"front_radius": 300, "rear_radius": 300}
    found = as_readings(taken(raised=raised), rig())
    assert found.cg_height == pytest.approx(h, abs=1e-9)
    assert 0.005 < found.gauges.cg_height < 0.03
    before = learn(rig(), None)
    after = learn(rig(), found)
    assert after.verdict == "fitted"
    unknown = next(one.where.start for one in rig().unknowns.blocks if "centre of gravity" in one.label)
    assert after.sd()[unknown] < 0.7 * before.sd()[unknown]


# ------------------------------------------------------------------ what is refused


@pytest.mark.parametrize(
    ("plain", "raw", "field"),
    [
        ({"toe": 0.1}, {"toe_over": {"length": 1, "diameter": 416}}, "toe_over"),
        ({"camber": -1}, {"camber_plumb": {"top_gap": 30, "bottom_gap": 20, "diameter": 416}}, "camber_plumb"),
        ({"height": 640}, {"height_to": {"what": "sill", "at": [0, 700, 200], "height": 200}}, "height_to"),
    ],
)
def test_a_value_given_twice_is_refused_at_its_place(tmp_path, plain, raw, field):
    file = tmp_path / "readings.yaml"
    file.write_text(
        "format: cornerwright readings 1\npasses:\n"
        f"  - front_left: {plain}\n    taken:\n      front_left:\n        {field}: {raw[field]}\n"
    )
    with pytest.raises(Refusal) as refused:
        load_readings(file)
    (problem,) = refused.value.problems
    assert problem.field == f"passes[0].taken.front_left.{field}"
    assert problem.line == 6
    assert "twice" in problem.found
    assert GIVES[field] in problem.expected


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (
            {"front_left": {"toe_over": {"length": 1, "diameter": 416}, "toe_strings": GAPS}},
            "both give toe",
        )
        for GAPS in ({"front_gap": 1, "rear_gap": 2, "diameter": 400},)
    ]
    + [
        ({"front_left": {"toe_over": {"length": 250, "diameter": 416}}}, "half the diameter"),
        ({"strings": {"left": {"front": 900}, "right": {"front": 900, "rear": 900}}}, "give front and rear"),
        ({"strings": {s: {"front_hub_gap": 9, "rear_hub_gap": 9} for s in ("left", "right")}}, "front_hubs"),
        ({"floor": {"front_left": 150, "front_right": 0, "rear_left": 0, "rear_right": 0}}, "level them"),
        ({"front_left": {"scale": {"shows": [250]}}}, "all four"),
    ],
)
def test_raw_readings_that_cannot_be_are_refused(raw, words):
    with pytest.raises(ValueError, match=words):
        taken(**raw)


def test_without_a_car_the_floor_is_left_and_said_so():
    floor = {"front_left": 3, "front_right": 0, "rear_left": 0, "rear_right": 0}
    plain = {corner: {"load": 250} for corner in CORNERS}
    found = convert(taken(plain=plain, floor=floor))
    assert found.reading.front_left.load == pytest.approx(250 * G)
    assert [note.level for note in found.notes] == ["warning"]


def test_a_car_that_does_not_stand_has_its_ballast_taken_out_by_levers():
    car = car_with({"mass.cg_height": 9000})
    plain = {corner: {"load": 250} for corner in CORNERS}
    found = convert(taken(plain=plain, missing=[DRIVER]), Rig(car))
    load = np.array([one.load for one in found.reading.corners.values()]) - 250 * G
    x, y = DRIVER["at"][0] / 1e3, DRIVER["at"][1] / 1e3
    assert load.sum() == pytest.approx(78 * G)
    assert load[2:].sum() * -car.wheelbase == pytest.approx(78 * G * x)
    tracks = car.front.track, car.rear.track
    assert (load[0] - load[1]) * tracks[0] / 2 + (load[2] - load[3]) * tracks[1] / 2 == pytest.approx(78 * G * y)
    assert found.reading.front_left.scatter.load > 10
    assert [note.level for note in found.notes] == ["warning"]


def test_a_weight_aboard_does_not_hide_in_the_height_of_the_centre_of_gravity():
    """80 kg at 1.2 m too many: without it the whole car's centre lies lower, by moments."""
    passenger = {"mass": 80, "at": [-1200, 0, 1200]}
    found = as_readings(taken(plain={"cg_height": 560}, extra=[passenger]), rig())
    total = example_car().mass.total
    now = outputs(rig().vary(), rig().vary().stand(), gradients=False).car["cg_height"][0]
    lower = 80 * (1.2 - now) / (total + 80)
    assert 0.560 - found.cg_height == pytest.approx(lower, abs=0.008)  # the car stands lower with it


@pytest.mark.parametrize(
    "raw",
    [
        {"rear_right": {"height_to": {"what": "sill", "at": [0, -700, 200], "height": 200}}},
        {"raised": {"axle": "rear", "steps": [{"lift": 500, "load": 600}], "front_radius": 300, "rear_radius": 300}},
    ],
)
def test_what_needs_the_car_says_so(raw):
    with pytest.raises(Refusal, match="a car"):
        as_readings(taken(**raw))


# ------------------------------------------------------------------ in the plan


def test_a_plan_from_raw_readings_is_the_plan_from_plain_ones():
    plain = example_reading()
    tree = plain.to_document()
    raw = {}
    for corner, one in plain.corners.items():
        raw[corner] = {"toe_over": {"length": 400 * math.sin(one.toe), "diameter": 400}}
        del tree[corner]["toe"]
    mixed = Reading.model_validate({**tree, "taken": {"gauges": {"gap": "0.01 mm", "diameter": "0.01 mm"}, **raw}})
    same = plain.model_copy(
        update={
            corner: one.model_copy(update={"scatter": as_readings(mixed).corners[corner].scatter})
            for corner, one in plain.corners.items()
        }
    )
    np.testing.assert_allclose(learn(rig(), mixed).mean, learn(rig(), same).mean, atol=1e-6)
    car, targets = example_car(), example_targets()
    found, wanted = plan(car, mixed, targets), plan(car, same, targets)
    assert found.verdict == wanted.verdict
    for corner in CORNERS:
        now = found.predicted[corner]["toe_deg"]
        assert now.was_read
        assert now.now == pytest.approx(wanted.predicted[corner]["toe_deg"].now, abs=1e-6)
        # Which of several equally good moves is chosen may hang on the last digit; what they reach does not.
        for name in ("toe_deg", "camber_deg", "height_mm"):
            assert found.predicted[corner][name].inside == wanted.predicted[corner][name].inside


def test_a_plan_says_what_was_corrected():
    floor = {"front_left": 1, "front_right": 0, "rear_left": 0, "rear_right": 0}
    tree = example_reading().to_document() | {"taken": {"floor": floor}}
    found = plan(example_car(), Reading.model_validate(tree), example_targets())
    assert any(one.about == "floor" and "corrected" in one.says for one in found.findings)


def test_raw_readings_come_back_from_their_document():
    raw = {"toe_strings": {"front_gap": 63, "rear_gap": 62, "diameter": 416}}
    reading = taken(front_left=raw, missing=[DRIVER])
    assert Reading.model_validate(reading.to_document()).taken == reading.taken


def test_raw_readings_are_not_passed_off_as_read():
    with pytest.raises(ValueError, match="converted first"):
        observations(taken(front_left={"toe_over": {"length": 1, "diameter": 416}}))
