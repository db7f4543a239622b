"""Service of the brakes as cards for the floor, in the order of the work.

The steps are common practice, without a source; on each card the maker's manual goes before them. What is
computed (hose slack, temperatures while bedding, what the parking brake holds) comes from the car's file.
"""

from __future__ import annotations

from collections.abc import Sequence

from cornerwright.assembly.brake_inputs import Parts
from cornerwright.model.brake_parts import DrumInHat
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_brakes import HoseRow, ParkingAnswer, ServiceCard, WearRow
from cornerwright.planning.brake_heat import Bedding
from cornerwright.planning.service_road import bedding_card, road_card
from cornerwright.planning.service_words import DUST, FLUID, RAISED, card, four, step


def service_cards(
    parts: Parts,
    wear: Sequence[WearRow],
    hoses: Sequence[HoseRow],
    plan: Bedding,
    parking: ParkingAnswer | None,
) -> tuple[ServiceCard, ...]:
    """Every card that this car needs, in the order of the work."""
    cards = [_pins(parts), _wear(wear), _hoses(hoses), _bleeding(parts)]
    if parts.brakes.parking is not None:
        cards.append(_parking(parts, parking))
    return (*cards, road_card(parts), bedding_card(parts, plan))


# ------------------------------------------------------------------ pins, boots, pistons


def _pins(parts: Parts) -> ServiceCard:
    sliding = [name for name, one in zip(CORNERS, parts.corners, strict=True) if one.caliper.kind == "sliding"]
    fixed = [name for name in CORNERS if name not in sliding]
    steps = [step("Wheel off, caliper hung on a wire: never by its hose.")]
    if sliding:
        where = _places(sliding)
        steps += [
            step(
                f"Slide pins ({where}): push each through its whole way by hand. Tick those that go smoothly.",
                *_each(sliding, "pins"),
            ),
            step(
                "A pin that moves stiffly, is scored or dry is redone: out, clean pin and bore, new if "
                "marked, the grease its maker names, new boot."
            ),
            step("Pin boots: whole, seated in both grooves. Torn, hard or loose: new.", *_each(sliding, "boots")),
        ]
    if fixed:
        steps.append(
            step(
                f"Fixed calipers ({_places(fixed)}): pad pins straight, springs in place, pads slide by hand.",
                *_each(fixed, "slide"),
            )
        )
    steps += [
        step(
            "Pistons: push back slowly, reservoir watched. All go with even force; one that sticks or "
            "weeps: rebuild the caliper, and its twin.",
            *four("pistons"),
        ),
        step("Dust boots of the pistons: whole and dry behind. Wet: the seal leaks, rebuild.", *four("boots")),
        step("Guide bolts and caliper bolts: to the maker's torque, new where the maker says so.", *four("torque")),
        step("Pedal pumped until it is hard before the car moves."),
    ]
    return card("pins", "Slide pins, boots and pistons", (RAISED, DUST), steps)


def _each(names: Sequence[str], what: str) -> tuple[str, ...]:
    return tuple(f"{name.replace('_', ' ')} {what}" for name in names)


def _places(names: Sequence[str]) -> str:
    if len(names) == len(CORNERS):
        return "all four"
    return ", ".join(name.replace("_", " ") for name in names)


# ------------------------------------------------------------------ wear


def _wear(rows: Sequence[WearRow]) -> ServiceCard:
    steps = [
        step("Pads: measure the friction material where it is thinnest, inner and outer pad."),
        step(
            "Rotor: micrometer at eight places round it, 10 mm in from the rim; the least counts. "
            "Greatest less least is the variation."
        ),
        step(
            "Runout: dial gauge 10 mm in from the rim, rotor held by all its nuts or bolts to torque, "
            "wheel bearing without play."
        ),
        step("Look for cracks that reach an edge or a hole, blue spots, a lip at the rim: new rotors."),
        step("At a limit, or unlike left and right: see the findings of the brakes page before fitting anything."),
    ]
    head = ("corner", "rotor, mm", "least", "pad, mm", "least", "runout, mm", "most", "variation, mm", "most")
    table = tuple(
        (
            row.corner.replace("_", " "),
            _last(row.rotor_mm, 2),
            f"{row.rotor_least_mm:.2f}",
            _last(row.pad_mm, 1),
            f"{row.pad_least_mm:.1f}",
            _last(row.runout_mm, 3),
            f"{row.runout_most_mm:.3f}",
            _last(row.variation_mm, 3),
            f"{row.variation_most_mm:.3f}",
        )
        for row in rows
    )
    return card("wear", "Pads and rotors: measure", (RAISED, DUST), steps, head, table)


def _last(value: float | None, decimals: int) -> str:
    """What was measured last, to write the new value beside."""
    return "" if value is None else f"({value:.{decimals}f})"


# ------------------------------------------------------------------ hoses


def _hoses(rows: Sequence[HoseRow]) -> ServiceCard:
    steps = [
        step("After any change of height, droop, steering stops, arms or calipers this card is done anew."),
        step(
            "Look along each hose: cracks, bulges, rub marks, twist (the stripe runs straight). Any: new hose.",
            *four(),
        ),
        step(
            "Wheels hanging at full droop: turn lock to lock, front then rear by hand. No hose may pull "
            "tight or turn its bracket.",
            *four("droop"),
        ),
        step(
            "Jack each wheel to full bump, spring out or car loaded: no hose may touch tyre, spring, arm "
            "or shaft, or fold.",
            *four("bump"),
        ),
        step(
            "Hold a finger's width (15 mm) of slack in hand at the tightest place: write what there is, in mm.",
            *four("slack"),
        ),
        step("Pedal hard pressed by a helper, wheels at full lock: look and feel for leaks at both ends."),
    ]
    if not rows:
        return card(
            "hoses", "Brake hoses", (RAISED,), [*steps, step("This car's file has no hoses: nothing was computed.")]
        )
    head = ("hose", "free, mm", "most needed", "where", "to spare", "tightest bend", "known by")
    table = tuple(
        (
            row.corner.replace("_", " "),
            f"{row.free_length_mm:.0f}",
            f"{row.longest_mm:.0f}",
            row.longest_at,
            f"{row.slack_mm:.0f}",
            "-" if row.bend_radius_mm is None else f"R {row.bend_radius_mm:.0f} ({row.bend_least_mm:.0f})",
            "points" if row.known_by == "points" else "jack table: no lock",
        )
        for row in rows
    )
    return card("hoses", "Brake hoses: slack at full droop and lock", (RAISED,), steps, head, table)


# ------------------------------------------------------------------ bleeding


def bleed_order(parts: Parts) -> tuple[str, ...]:
    """Corners in the order of bleeding: the longest line from the cylinder first (common practice).

    Diagonal: circuit by circuit, rear before front. Two cylinders on a bar: one front and one rear nipple
    at a time, so that the bar stays square.
    """
    near = parts.brakes.driver_side
    far = "right" if near == "left" else "left"
    if parts.brakes.split == "diagonal":
        return (f"rear_{far}", f"front_{near}", f"rear_{near}", f"front_{far}")
    return (f"rear_{far}", f"rear_{near}", f"front_{far}", f"front_{near}")


def _bleeding(parts: Parts) -> ServiceCard:
    brakes = parts.brakes
    order = bleed_order(parts)
    steps = [
        step(
            f"Fluid: {brakes.fluid.grade}, fresh. Draw the old out of the reservoir, fill, keep it above "
            "the mark throughout."
        ),
        step("New cylinder or dry system: bleed the master cylinder on the bench or at its ports first."),
    ]
    if brakes.valve is not None:
        steps.append(step("A rear valve that works by load or height is held open as the maker says, or it hides air."))
    if brakes.master is None:
        far = "right" if brakes.driver_side == "left" else "left"
        near = brakes.driver_side
        steps.append(step("Balance bar: a front and a rear nipple are opened together, so that the bar stays square."))
        pairs = ((f"rear {far}", f"front {far}"), (f"rear {near}", f"front {near}"))
        steps += [
            step(f"{k + 1}. {rear} together with {front}: until clear and without bubbles.", rear, front)
            for k, (rear, front) in enumerate(pairs)
        ]
    else:
        steps += [
            step(f"{k + 1}. {name.replace('_', ' ')}: until clear and without bubbles.", "ml")
            for k, name in enumerate(order)
        ]
    steps.append(
        step(
            "Calipers with two nipples: the inner one first, and again after the outer. Nipples stand "
            "uppermost, or the caliper is turned so that they do."
        )
    )
    if brakes.hand_circuit is not None:
        steps.append(
            step(
                "Hand circuit last: lever pulled slowly, far rear wheel, then near; then the rear "
                "service nipples once more where it shares their calipers.",
                "hand circuit",
            )
        )
    if brakes.balance_bar is not None:
        steps.append(step("Bar: centred and square at a hard pedal, clevises free, its lock tight.", "bar checked"))
    steps += [
        step(
            "Hold the pedal hard for a minute: it does not sink. Look at every joint and nipple.",
            "height at start, mm",
            "after 1 min",
        ),
        step(
            "Nipples to the maker's torque, caps on, fluid to the mark, cap and warning switch on. Old "
            "fluid to where it is taken."
        ),
    ]
    return card("bleeding", "Bleeding, in this order", (FLUID, RAISED), steps)


# ------------------------------------------------------------------ parking brake


def _parking(parts: Parts, told: ParkingAnswer | None) -> ServiceCard:
    lever = parts.brakes.parking
    assert lever is not None  # the caller has asked
    low, high = lever.clicks
    drums = any(isinstance(one.parking, DrumInHat) for one in parts.corners)
    steps = [step("Service brake first: pads seated, system bled, pedal pumped. Lever right off, cables slack.")]
    if drums:
        steps += [
            step(
                "Drum in the rotor: turn the star wheel through its hole until the rotor will not turn, "
                "then back until it just runs free, the same notches left and right.",
                "left notches",
                "right notches",
            ),
            step("Take the slack out of the cables at the equaliser until the shoes' levers just do not move."),
        ]
    else:
        steps += [
            step(
                "Levers at the calipers rest on their stops; a caliper that adjusts itself is worked by "
                "the pedal ten times first."
            ),
            step("Take the slack out of the cables at the equaliser until the levers just do not leave their stops."),
        ]
    steps += [
        step(
            f"Pull: it should bite by click {low} and hold by {high}, as the maker's book has it.",
            "bites at",
            "holds at",
        ),
        step("Lever off: both wheels turn freely by hand, equally light.", "left", "right"),
        step("Cables: free in their sleeves, not frayed, not tight at full droop."),
    ]
    if told is not None:
        holds = "any slope" if told.holds_percent is None else f"a slope of {told.holds_percent:.0f} %"
        steps.append(
            step(
                f"Computed: {told.hand_n:.0f} N at the hand hold {holds}, grip allowing. On a slope it must hold up "
                "and down; the law where you are says how steep.",
                "held up",
                "held down",
            )
        )
    return card("parking", "Parking brake", (RAISED, DUST), steps)
