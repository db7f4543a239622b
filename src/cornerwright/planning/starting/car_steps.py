"""The steps of the whole car: its name, where its wheels stand, what it weighs, how high it stands, what is wanted."""

from __future__ import annotations

from pydantic_core import PydanticCustomError

from cornerwright.mechanics.tyres import overall_diameter
from cornerwright.model.parts import CORNERS
from cornerwright.model.starter import said
from cornerwright.model.tyre_marking import TyreMarking
from cornerwright.model.units import ANGLE, LENGTH, MASS, RATE, SHARE, WEIGHT, to_document
from cornerwright.planning.starting.asked import ENDS, SPRINGS, STANDS, Given, Question, Step

WEIGH = (("corners", "four scales"), ("axles", "each axle"), ("estimate", "an estimate"))
HEIGHT_TO = (("floor", "to the floor"), ("hub", "to the hub"))
USUAL = "which is usual"
"""Said of a value that is no guess at a fact but a custom."""
TYRE_SPREAD = 12.0
"""How much a usual tyre is pressed in as the car stands [mm]; common practice, no source."""
WITHIN = {"height": "2", "camber": "0.15", "toe": "0.05", "caster": "0.3", "cross": "0.5"}
"""Tolerances that are usual where none is named; common practice, no source."""


def car_steps(given: Given) -> list[Step]:
    """What is measured of the whole car before its axles."""
    return [
        Step(
            "car", "Which car it is", "from_above",
            ("Give it the name you call it by. Left is the driver's left, looking forward; left and right are always "
             "meant so.",
             "Every number that follows is read as the car stands now: level floor, tyres at pressure, the driver's "
             "weight in the seat, fuel and tools as it will be driven, rolled back and forth and bounced."),
            (Question("name", "name", needed=True),
             Question("body_style", "type", "saloon, coupe, estate...: what parts are sold for; may be left out"),
             Question("year", "year of the body", "may be left out", whole=True, least=1900, most=2100)),
        ),
        Step(
            "wheelbase", "Wheelbase", "wheelbase",
            ("Hang a plumb line from the middle of each hub, mark the floor, and measure along the floor from mark to "
             "mark. Do it on both sides and take the mean.",),
            (Question("wheelbase", "wheelbase", said("wheelbase"), LENGTH, needed=True, least=1500, most=4500),),
        ),
        Step(
            "track", "Track, front and rear", "track",
            ("Push a square against the tyre's outer and inner wall near the floor and mark both: the middle lies "
             "between. Measure from the middle of one tyre to the middle of the other, straight across.",),
            tuple(
                Question(f"{end}.track", f"{end} track", said("front.track"), LENGTH, needed=True, least=900, most=2200)
                for end in ENDS
            ),
        ),
        *(_wheel(end, given) for end in ENDS),
        _weights(given),
        _unsprung(),
        _heights(given),
    ]  # fmt: skip


def _wheel(end: str, given: Given) -> Step:
    radius, doubt = free_radius_guess(end, given)
    return Step(
        f"{end}-wheel", "Wheel and tyre", "wheel",
        ("With the car standing, measure from the floor up to the middle of the hub. Then, wheel in the air, from "
         "tread to tread across the tyre: half of that is its free radius. The marking stands on the tyre's wall.",),
        (Question(f"{end}.centre_height", "hub to the floor", said("front.left.wheel.centre_height"), LENGTH,
                  needed=True, least=180, most=500),
         Question(f"{end}.tyre", "tyre marking", "as on its wall, with load index and speed symbol; may be left out"),
         Question(f"{end}.free_radius", "free radius",
                  f"{said('front.left.tyre.free_radius')}; left out: by the marking, or by the hub", LENGTH,
                  guess=radius, doubt=doubt, least=190, most=520),
         Question(f"{end}.tyre_rate", "tyre rate", said("front.left.tyre.rate"), RATE,
                  guess="200", doubt="give or take 15 %", least=100, most=500)),
        place=end,
    )  # fmt: skip


def marking_of(text: str) -> TyreMarking | str:
    """The marking; or what is wrong with it."""
    try:
        return TyreMarking.read(text)
    except PydanticCustomError as error:
        return f"expected {(error.context or {})['expected']}"


def free_radius_guess(end: str, given: Given) -> tuple[str | None, str]:
    """From the tyre's marking, or from the height of the hub; and how far it may be off."""
    text = given.text(f"{end}.tyre")
    marking = marking_of(text) if text else ""
    if isinstance(marking, TyreMarking):
        across = overall_diameter(marking.width, marking.aspect, marking.rim_code, marking.diameter)
        return f"{to_document(across / 2, LENGTH):.1f}", "from its marking; give or take 5 mm"
    standing = given.number(f"{end}.centre_height", LENGTH)
    if standing is not None:
        return f"{standing + TYRE_SPREAD:.1f}", f"hub to the floor and {TYRE_SPREAD:g} mm; give or take 5 mm"
    return None, ""


def _weights(given: Given) -> Step:
    way = given.choice("weigh", "corners")
    total = said("mass.total")
    match way:
        case "corners":
            asked = [
                Question(f"load.{corner}", corner.replace("_", " "), "scale under it" if corner == CORNERS[0] else "",
                         WEIGHT, needed=True, least=80, most=900)
                for corner in CORNERS
            ]  # fmt: skip
        case "axles":
            asked = [
                Question(f"load.{end}", f"{end} axle", "both wheels of this axle on the weighbridge", WEIGHT,
                         needed=True, least=200, most=1800)
                for end in ENDS
            ]  # fmt: skip
            asked.append(_left_share())
        case _:
            asked = [
                Question("total", "whole car", f"the papers' mass, with driver, fuel and tools; better: {total}", MASS,
                         needed=True, least=400, most=3000),
                Question("total_doubt", "give or take", "how far that may be off", SHARE, guess="5",
                         doubt="as usual for the papers' mass", least=0.5, most=20),
                Question("front_share", "share on the front axle", said("mass.front"), SHARE, guess="54",
                         doubt="give or take 3: an engine in front", least=35, most=68),
                _left_share(),
            ]  # fmt: skip
    asked.append(
        Question("cg_height", "height of the centre of gravity", said("mass.cg_height"), LENGTH, guess="500",
                 doubt="give or take 30 mm", least=300, most=900)
    )  # fmt: skip
    return Step(
        "weights", "What it weighs", "weights",
        ("Scales stand level with the floor around the other wheels, set to zero before. Driver's weight in the seat. "
         "Roll the car on, bounce it, read all four.",
         "Without scales an estimate will do for heights and alignment; corner weights cannot be set then."),
        (Question("weigh", "weighed by", choices=WEIGH), *asked),
    )  # fmt: skip


def _left_share() -> Question:
    return Question("left_share", "share on the left wheels", said("mass.left"), SHARE, guess="50",
                    doubt="give or take 2", least=42, most=58)  # fmt: skip


def _unsprung() -> Step:
    return Step(
        "unsprung", "What goes up and down with a wheel", "unsprung",
        ("Body on stands, spring off, the damper's foot and the bar's link undone: put a bathroom scale under the "
         "tyre. Leave it out where that is too much work for now.",),
        tuple(
            Question(f"{end}.unsprung", f"{end}, each wheel", said("front.left.unsprung_mass"), MASS, guess=guess,
                     doubt="give or take 8 kg", least=12, most=90)
            for end, guess in zip(ENDS, ("35", "30"), strict=True)
        ),
        cautions=(STANDS, SPRINGS),
        may_skip="A guess stands in.",
    )  # fmt: skip


def _heights(given: Given) -> Step:
    to_hub = given.choice("height_to", "floor") == "hub"
    how = (
        "lip above the hub, straight down to the middle of the hub"
        if to_hub
        else "lip above the hub, down to the floor"
    )
    return Step(
        "heights", "How high it stands", "heights",
        (f"At each corner {said('front.left.height_point').removeprefix('where you read ride heights: ')}. The lip of "
         "the wheel arch straight above the hub will do; mark the place, it is read again after every change.",
         "Read to the floor where you can; to the hub where arch and floor are hard to reach at once."),
        (Question("height_to", "measured", choices=HEIGHT_TO),
         *(Question(f"height.{corner}", corner.replace("_", " "), how if corner == CORNERS[0] else "", LENGTH,
                    needed=corner.endswith("left"),
                    least=150 if to_hub else 400, most=700 if to_hub else 1000) for corner in CORNERS)),
    )  # fmt: skip


AIMS = (
    ("height", LENGTH, "lip to the floor", 400.0, 1000.0),
    ("camber", ANGLE, "top leaning in is minus", -6.0, 2.0),
    ("toe", ANGLE, "of each wheel; toe-in is plus", -1.0, 1.0),
    ("caster", ANGLE, "axis leaning back at the top is plus", 0.0, 12.0),
)
"""What may be wanted of an axle, with what is usual."""


def target_step() -> Step:
    """What is wanted."""
    found = []
    for end in ENDS:
        for name, kind, how, least, most in AIMS:
            if name == "caster" and end == "rear":
                continue
            aim = Question(f"want.{end}.{name}", f"{end} {name}", how, kind, least=least, most=most)
            found.append((aim, _within(aim, WITHIN[name], 20.0 if kind is LENGTH else 1.0)))
    cross = Question("want.cross", "cross weight", "right front and left rear over all; 50 is even", SHARE, least=45,
                     most=55)  # fmt: skip
    found.append((cross, _within(cross, WITHIN["cross"], 3.0)))
    return Step(
        "wanted", "What is wanted", "wanted",
        ("Take the values from the maker of the car, of its parts, or from your series. Leave out what you do not "
         "mind.",
         "Less than your gauges repeat is never reached."),
        rows=tuple(found),
        may_skip="Without anything wanted there is nothing to plan.",
    )  # fmt: skip


def _within(aim: Question, usual: str, most: float) -> Question:
    return Question(f"{aim.name}.within", "give or take", "", aim.kind, guess=usual, doubt=USUAL, least=0, most=most)
