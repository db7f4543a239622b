"""The steps of an axle's adjusters: which there are, and of each its thread, its range and what a unit of it does."""

from __future__ import annotations

from dataclasses import dataclass

from cornerwright.model.adjuster import HandUnit
from cornerwright.model.starter import said
from cornerwright.model.units import ANGLE, LENGTH
from cornerwright.planning.starting.asked import SPRINGS, STANDS, Given, Question, Step
from cornerwright.planning.starting.car_steps import USUAL

PLACE = "front.left.adjusters"


@dataclass(frozen=True)
class Offer:
    """A kind of adjuster that a corner may have."""

    name: str
    """As the car file calls it."""
    kind: str
    words: str
    title: str
    says: str
    unit: HandUnit
    step: str
    """Smallest step that is usual for the hand."""
    effects: tuple[str, ...] = ()
    """What a unit of it moves that must be found by turning it."""
    sets: str | None = None
    plus: str | None = None
    minus: str | None = None
    caution: str = ""


OFFERS = (
    Offer("perch", "perch", "spring perch with a collar", "Spring perch",
          "The collar that the spring sits on. Count ten threads and divide. Plus turns it towards the spring.",
          "turn", "0.25", caution=SPRINGS),
    Offer("body", "body", "damper's length by its body", "Damper's body",
          "The damper's body or eye screwed in its foot. Its thread is measured over ten turns; its range ends where "
          "its maker asks for so much thread.", "turn", "0.5"),
    Offer("camber_plate", "plate", "plate at the strut's top", "Plate at the top of the strut",
          "Where it stands on its slots, from their middle; outboard is plus.", "mm", "0.5", ("camber", "toe"),
          "camber", "top outboard", "top inboard"),
    Offer("camber_cam", "cam", "cam bolt for camber", "Cam bolt for camber",
          "An eccentric bolt with marks: count the notches from its middle, outboard is plus.", "notch", "1",
          ("camber", "toe"), "camber", "mark outboard", "mark inboard"),
    Offer("toe_cam", "cam", "cam bolt for toe", "Cam bolt for toe",
          "An eccentric bolt with marks: count the notches from its middle, forward is plus.", "notch", "1",
          ("toe", "camber"), "toe", "mark forward", "mark rearward"),
    Offer("shims", "shim", "shims under an arm", "Shims",
          "Count what is there; one more is plus. Measure a single shim with a caliper.", "shim", "1",
          ("camber", "caster", "toe"), "camber", caution="An arm comes off for shims: spring unloaded first."),
    Offer("arm", "rod", "arm of adjustable length", "Adjustable arm",
          "Thread that shows on its left-hand or right-hand end; longer is plus.", "turn", "0.5",
          ("camber", "toe", "caster"), "camber", "arm longer", "arm shorter"),
    Offer("tie_rod", "rod", "tie rod or toe link", "Tie rod or toe link",
          "Thread that shows; longer is plus. The hand counts flats of its hexagon.", "flat", "1", ("toe",), "toe",
          "tie rod longer", "tie rod shorter"),
    Offer("wheel_spacer", "spacer", "wheel spacer", "Wheel spacer",
          "The thickness that is on now, and what you have on the shelf as least and greatest. A hub must centre the "
          "wheel on it, and studs or bolts need full thread.", "mm", "5",
          caution="Spacers need full thread engagement and a hub that centres the wheel; road law has its say."),
    Offer("bar_link", "bar_link", "adjustable link of the bar", "Link of the anti-roll bar",
          "Its length from eye to eye, or thread that shows; longer is plus.", "turn", "0.5"),
)  # fmt: skip
"""In the order in which they are asked for."""

EFFECT_WORDS = {"camber": "camber", "toe": "toe", "caster": "caster"}
UNIT_WORDS = {"turn": "turn", "flat": "flat", "notch": "notch", "shim": "shim", "mm": "mm"}


def there(end: str, given: Given) -> tuple[Offer, ...]:
    """Adjusters that this axle has."""
    bar = given.choice(f"{end}.bar", "no") == "yes"
    return tuple(one for one in OFFERS if given.ticked(f"{end}.has.{one.name}") and (bar or one.kind != "bar_link"))


def adjuster_steps(end: str, given: Given) -> list[Step]:
    """Which there are, then one step for each."""
    bar = given.choice(f"{end}.bar", "no") == "yes"
    which = Step(
        f"{end}-adjusters", "What a spanner can turn", "adjusters",
        ("Tick what this axle has, on each side alike. What is not there is not asked for.",),
        tuple(
            Question(f"{end}.has.{one.name}", one.words, tick=True)
            for one in OFFERS if bar or one.kind != "bar_link"
        ),
        place=end, may_skip="What nobody can turn is not in a plan.",
    )  # fmt: skip
    return [which, *(_adjuster(end, one) for one in there(end, given))]


def _adjuster(end: str, offer: Offer) -> Step:
    start = f"{end}.{offer.name}"
    count = offer.unit if offer.unit in ("notch", "shim") else ""
    kind = None if count else LENGTH
    asked = []
    if offer.unit in ("turn", "flat"):
        asked.append(Question(f"{start}.pitch", "pitch of its thread", said(f"{PLACE}.perch.pitch"), LENGTH,
                              needed=True, least=0.5, most=4))  # fmt: skip
    if offer.unit == "shim":
        asked.append(Question(f"{start}.pitch", "thickness of one", "caliper", LENGTH, needed=True, least=0.1, most=5))
    now = said(f"{PLACE}.perch.setting") if offer.kind == "perch" else "as it stands now"
    if offer.kind == "bar_link":
        asked.append(Question(f"{start}.setting", "stands at", now, LENGTH, needed=True))
    else:
        asked += [
            Question(f"{start}.setting.left", "left stands at", now, kind, counted=count, needed=True),
            Question(f"{start}.setting.right", "right stands at", "as the left, where left out", kind, counted=count),
        ]
    reach = {"perch": said(f"{PLACE}.perch.range"), "body": said(f"{PLACE}.body.range"),
             "rod": said(f"{PLACE}.tie_rod.range")}.get(offer.kind, "what its maker allows")  # fmt: skip
    then = f"{said(f'{PLACE}.perch.measured_at')}; left out: as the left stands now"
    asked += [
        Question(f"{start}.at", "at the jack table", then, kind, counted=count),
        Question(f"{start}.low", "least", reach, kind, counted=count, needed=True),
        Question(f"{start}.high", "greatest", reach, kind, counted=count, needed=True),
        Question(f"{start}.step", f"smallest step, {UNIT_WORDS[offer.unit]}",
                 said(f"{PLACE}.perch.step").replace("`unit`", "that unit"), counted="step", guess=offer.step,
                 doubt=USUAL),
    ]  # fmt: skip
    for effect in offer.effects:
        asked.append(
            Question(f"{start}.effect.{effect}", f"one {UNIT_WORDS[offer.unit]} does: {EFFECT_WORDS[effect]}",
                     said(f"{PLACE}.camber_plate.effect"), ANGLE, least=-3, most=3)
        )  # fmt: skip
    return Step(
        f"{end}-{offer.name.replace('_', '-')}", offer.title, offer.kind, (offer.says,), tuple(asked), place=end,
        cautions=tuple(one for one in (STANDS, offer.caution) if one),
    )  # fmt: skip
