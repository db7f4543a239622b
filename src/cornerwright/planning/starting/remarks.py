"""What is said at once about an answer that cannot be, or that is hardly so: in plain words, at its field."""

from __future__ import annotations

from collections.abc import Iterator

from cornerwright.mechanics.tyres import diameter_range, overall_diameter
from cornerwright.model.parts import CORNERS
from cornerwright.model.tyre_marking import TyreMarking
from cornerwright.model.units import FORCE, LENGTH, MASS, RATE, SHARE, WEIGHT, to_document
from cornerwright.planning.starting.adjuster_steps import OFFERS, Offer
from cornerwright.planning.starting.asked import Given, Question, Remark, Step, corners_of, typed, unreadable
from cornerwright.planning.starting.axle_steps import STOP_ROWS, coils
from cornerwright.planning.starting.car_steps import marking_of
from cornerwright.planning.starting.jack_rows import column, row_remarks

SIDES = 30.0
"""Heights of left and right that differ by more are questioned [mm]."""
STROKE = 3.0
"""Stroke measured against the difference of the lengths [mm]."""


def remarks(step: Step, given: Given) -> dict[str, Remark]:
    """By the name of the question; one for each, what cannot be before what is hardly so."""
    found: dict[str, Remark] = {}
    for one in (*_single(step, given), *_together(step, given)):
        before = found.get(one.name)
        if before is None or (before.level == "asks" and one.level == "wrong"):
            found[one.name] = one
    return found


def _single(step: Step, given: Given) -> Iterator[Remark]:
    for one in step.every:
        text = given.text(one.name)
        wrong = unreadable(one, text)
        if wrong is not None:
            yield Remark(one.name, "wrong", wrong)
        elif text:
            yield from _usual(one, text, given)


def _usual(one: Question, text: str, given: Given) -> Iterator[Remark]:
    """Whether a value lies where such values lie."""
    value = typed(text) if one.kind is None else given.number(one.name, one.kind)
    if not isinstance(value, float):
        return
    if one.name.endswith(".within") and value <= 0:
        yield Remark(one.name, "wrong", "expected a tolerance above zero")
    elif one.kind in (LENGTH, MASS, RATE, WEIGHT) and value <= 0 and (one.least or 0) > 0:
        yield Remark(one.name, "wrong", "expected a value above zero")
    elif (one.least is not None and value < one.least) or (one.most is not None and value > one.most):
        unit = f" {one.unit}" if one.unit not in ("", "°") else one.unit
        span = f"{one.least:g} to {one.most:g}{unit}"
        yield Remark(one.name, "asks", f"{value:g}{unit}? Usual is {span}: {_slip(value, one)}")


def _slip(value: float, one: Question) -> str:
    """What may have gone wrong."""
    if one.least is None or one.most is None or one.kind is not LENGTH:
        return "is sign and unit right?"
    for factor, unit in ((10.0, "cm"), (25.4, "in"), (1000.0, "m")):
        if one.least <= value * factor <= one.most:
            return f"were these {unit}? Then write {unit} behind it."
    return "read it again."


def _together(step: Step, given: Given) -> Iterator[Remark]:
    """Values that must fit each other."""
    end = step.place
    match step.figure:
        case "wheel":
            yield from _wheel(end, given)
        case "weights":
            yield from _weights(given)
        case "heights":
            yield from _heights(given)
        case "springs":
            yield from _springs(end, given)
        case "damper":
            yield from _damper(end, given)
        case "stop":
            yield from _stop(end, given)
        case "rows":
            yield from row_remarks(end, given)
            yield from _within_the_damper(end, given)
        case "track":
            front, rear = (given.number(f"{one}.track", LENGTH) for one in ("front", "rear"))
            if front and rear and abs(front - rear) > 200:
                yield Remark("rear.track", "asks", f"{abs(front - rear):.0f} mm from the front track: is it so?")
        case _:
            for offer in OFFERS:
                if step.name == f"{end}-{offer.name.replace('_', '-')}":
                    yield from _adjuster(f"{end}.{offer.name}", offer, given)


def _wheel(end: str, given: Given) -> Iterator[Remark]:
    text = given.text(f"{end}.tyre")
    marking = marking_of(text) if text else None
    if isinstance(marking, str):
        yield Remark(f"{end}.tyre", "wrong", marking)
    hub, free = (given.number(f"{end}.{name}", LENGTH) for name in ("centre_height", "free_radius"))
    if hub is not None and free is not None and hub >= free:
        yield Remark(f"{end}.free_radius", "wrong",
                     f"expected more than from hub to floor, {hub:g} mm: the tyre is pressed in")  # fmt: skip
    elif hub is not None and free is not None and free - hub > 35:
        yield Remark(f"{end}.free_radius", "asks", f"pressed in by {free - hub:.0f} mm? Usual is 5 to 25 mm.")
    if isinstance(marking, TyreMarking) and free is not None and marking.aspect is not None:
        across = overall_diameter(marking.width, marking.aspect, marking.rim_code)
        low, high = (to_document(one / 2, LENGTH) for one in diameter_range(across, marking.rim_code))
        if not low - 3 <= free <= high + 3:
            yield Remark(f"{end}.free_radius", "asks", f"its marking means {low:.0f} to {high:.0f} mm when new")


def _weights(given: Given) -> Iterator[Remark]:
    if given.choice("weigh", "corners") == "corners":
        loads = {corner: given.si(f"load.{corner}", WEIGHT) for corner in CORNERS}
        if any(one is None for one in loads.values()):
            return
        whole = sum((one or 0.0 for one in loads.values()), 0.0)
        for corner, load in loads.items():
            share = (load or 0.0) / whole if whole > 0 else 0.0
            if not 0.13 <= share <= 0.38:
                yield Remark(
                    f"load.{corner}", "asks", f"{100 * share:.0f} % of the car on one wheel: read all four again"
                )
    front, rear = (given.si(f"load.{end}", WEIGHT) for end in ("front", "rear"))
    if front and rear and not 0.33 <= front / (front + rear) <= 0.7:
        yield Remark("load.front", "asks", f"{100 * front / (front + rear):.0f} % on the front axle: is it so?")
    for name in ("front_share", "left_share"):
        part = given.si(name, SHARE)
        if part is not None and not 0.05 < part < 0.95:
            yield Remark(name, "wrong", "expected a share between 5 and 95 %")


def _heights(given: Given) -> Iterator[Remark]:
    for end in ("front", "rear"):
        left, right = corners_of(end)
        one, other = (given.number(f"height.{corner}", LENGTH) for corner in (left, right))
        if one is not None and other is not None and abs(one - other) > SIDES:
            yield Remark(f"height.{right}", "asks",
                         f"{abs(one - other):.0f} mm from the left: the same place on both sides?")  # fmt: skip
        hub = given.number(f"{end}.centre_height", LENGTH)
        if given.choice("height_to", "floor") == "floor" and one is not None and hub is not None and one <= hub:
            yield Remark(
                f"height.{left}", "asks", f"below the hub, which is at {hub:g} mm: measured to the hub, perhaps?"
            )


def _springs(end: str, given: Given) -> Iterator[Remark]:
    stack = coils(end, given)
    for coil in stack:
        free, block = (given.number(f"{end}.{coil}.{name}", LENGTH) for name in ("free", "block"))
        if free is not None and block is not None and block >= free:
            yield Remark(f"{end}.{coil}.block", "wrong", f"expected less than its free length, {free:g} mm")
    main = given.number(f"{end}.main.rate", RATE)
    for coil in stack[1:]:
        rate = given.number(f"{end}.{coil}.rate", RATE)
        if main is not None and rate is not None and rate >= main:
            yield Remark(f"{end}.{coil}.rate", "asks", "stiffer than the main spring: is it the helper?")


def _damper(end: str, given: Given) -> Iterator[Remark]:
    longest, shortest, stroke = (given.number(f"{end}.damper.{name}", LENGTH) for name in ("open", "closed", "stroke"))
    if longest is None or shortest is None:
        return
    if shortest >= longest:
        yield Remark(f"{end}.damper.closed", "wrong", f"expected less than extended, {longest:g} mm")
    elif longest - shortest > 0.55 * longest:
        yield Remark(f"{end}.damper.closed", "asks",
                     f"a stroke of {longest - shortest:.0f} mm is much: eye to eye both times?")  # fmt: skip
    elif stroke is not None and abs(longest - shortest - stroke) > STROKE:
        yield Remark(f"{end}.damper.stroke", "asks",
                     f"extended less compressed is {longest - shortest:g} mm: one of them is not right")  # fmt: skip


def _stop(end: str, given: Given) -> Iterator[Remark]:
    length = given.number(f"{end}.stop.length", LENGTH)
    if length is not None:
        longest, shortest = (given.number(f"{end}.damper.{name}", LENGTH) for name in ("open", "closed"))
        if longest is not None and shortest is not None and length >= longest - shortest:
            yield Remark(f"{end}.stop.length", "wrong", f"expected less than the stroke, {longest - shortest:g} mm")
    squeezed, pressed = 0.0, 0.0
    for k in range(1, STOP_ROWS + 1):
        squeeze, force = (
            given.number(f"{end}.stop.{k}.squeeze", LENGTH), given.number(f"{end}.stop.{k}.force", FORCE)
        )  # fmt: skip
        if (squeeze is None) != (force is None):
            part = "squeeze" if squeeze is None else "force"
            yield Remark(f"{end}.stop.{k}.{part}", "wrong", "expected both of a row, or none")
        if squeeze is None or force is None:
            continue
        if squeeze <= squeezed or force <= pressed:
            yield Remark(f"{end}.stop.{k}.squeeze", "wrong", "expected more squeeze and more force than the row before")
        if length is not None and squeeze > length:
            yield Remark(f"{end}.stop.{k}.squeeze", "wrong", f"expected no more than its length, {length:g} mm")
        squeezed, pressed = squeeze, force


def _within_the_damper(end: str, given: Given) -> Iterator[Remark]:
    """Lengths in the table that this damper cannot have."""
    longest, shortest = (given.number(f"{end}.damper.{name}", LENGTH) for name in ("open", "closed"))
    for number, _, value in zip(*column(end, "damper", given), strict=True):
        length = to_document(value, LENGTH)
        if longest is not None and length > longest + STROKE:
            yield Remark(
                f"{end}.row.{number}.damper", "asks", f"longer than the damper pulled right out, {longest:g} mm"
            )
        elif shortest is not None and length < shortest - STROKE:
            yield Remark(
                f"{end}.row.{number}.damper", "asks", f"shorter than the damper pushed right in, {shortest:g} mm"
            )


def _adjuster(start: str, offer: Offer, given: Given) -> Iterator[Remark]:
    def value(name: str) -> float | None:
        if offer.unit in ("notch", "shim"):
            found = typed(given.text(f"{start}.{name}"))
            return found if isinstance(found, float) else None
        return given.number(f"{start}.{name}", LENGTH)

    low, high = value("low"), value("high")
    if low is not None and high is not None and low >= high:
        yield Remark(f"{start}.high", "wrong", f"expected more than the least, {low:g}")
        return
    for name in ("setting", "setting.left", "setting.right"):
        now = value(name)
        if now is None:
            continue
        if (low is not None and now < low) or (high is not None and now > high):
            yield Remark(f"{start}.{name}", "wrong", "expected a place between least and greatest")
    pitch = value("pitch")
    if offer.unit in ("turn", "flat", "shim") and pitch is not None and pitch <= 0:
        yield Remark(f"{start}.pitch", "wrong", "expected a length above zero")
    step = typed(given.text(f"{start}.step"))
    if isinstance(step, float) and not 0 < step <= 100:
        yield Remark(f"{start}.step", "wrong", "expected a step above zero")
