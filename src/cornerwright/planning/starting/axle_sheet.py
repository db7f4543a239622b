"""One axle of the car file, from the answers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from cornerwright.model.starter import AROUND, said
from cornerwright.model.units import LENGTH
from cornerwright.planning.starting.adjuster_steps import Offer, there
from cornerwright.planning.starting.asked import Given, corners_of, typed
from cornerwright.planning.starting.axle_steps import STOP_ROWS, coils, spring_around
from cornerwright.planning.starting.jack_rows import rows
from cornerwright.planning.starting.sheet import Sheet

if TYPE_CHECKING:
    from cornerwright.planning.starting.papers import Filling

CORNER = "front.left"
STOP_CURVE = ((0.27, 200.0), (0.53, 800.0), (0.8, 2800.0), (0.93, 6000.0))
"""Squeeze over length and force [N] of a usual bump stop; common practice, no source."""


def axle_sheet(end: str, filling: Filling) -> Sheet:
    """Track, bar, the left corner and where the right one differs."""
    given = filling.given
    sheet = Sheet().put("track", *filling.value(f"{end}.track", said("front.track")))
    if given.choice(f"{end}.bar", "no") == "yes":
        sheet.put("bar", _bar(end, filling))
    sheet.put("left", _left(end, filling))
    sheet.put("right", _right(end, given))
    return sheet


def _bar(end: str, filling: Filling) -> Sheet:
    bar = Sheet().put("rate", *filling.value(f"{end}.bar.rate", said("front.bar.rate")))
    for offer in there(end, filling.given):
        if offer.kind == "bar_link":
            bar.put("link", _adjuster(end, offer, filling))
    return bar


def _left(end: str, filling: Filling) -> Sheet:
    given = filling.given
    sheet = Sheet().put("unsprung_mass", *filling.value(f"{end}.unsprung", said(f"{CORNER}.unsprung_mass")))
    hub = filling.value(f"{end}.centre_height", said(f"{CORNER}.wheel.centre_height"))
    sheet.put("wheel", Sheet().put("centre_height", *hub))
    tyre = Sheet().put("free_radius", *filling.value(f"{end}.free_radius", said(f"{CORNER}.tyre.free_radius")))
    tyre.put("rate", *filling.value(f"{end}.tyre_rate", said(f"{CORNER}.tyre.rate")))
    tyre.put("marking", given.text(f"{end}.tyre") or None)
    sheet.put("tyre", tyre)
    sheet.put("linkage", _table(end, given))
    sheet.put("spring", _spring(end, filling))
    sheet.put("damper", _damper(end, filling))
    left = corners_of(end)[0]
    sheet.put("height_point", _height_point(end, left, given, filling), said(f"{CORNER}.height_point"))
    adjusters = Sheet()
    for offer in there(end, given):
        if offer.kind != "bar_link":
            adjusters.put(offer.name, _adjuster(end, offer, filling))
    return sheet.put("adjusters", adjusters, said(f"{CORNER}.adjusters"))


def _table(end: str, given: Given) -> Sheet:
    table = Sheet().put("kind", "jack_table")
    listed = [{"lift": row.lift, **{name: typed(text) for name, text in row.texts.items()}} for row in rows(end, given)]
    told = "lift, and what was read there; damper and spring as measured"
    if given.choice(f"{end}.lift_by", "hub") == "hub":
        told = "lift: hub to lip standing, less hub to lip at that step"
    return table.rows("rows", listed, told)


def _spring(end: str, filling: Filling) -> Sheet:
    given = filling.given
    place = f"{CORNER}.spring.stack"
    stack = [
        Sheet().put("name", coil)
        .put("rate", *filling.value(f"{end}.{coil}.rate", said(f"{place}.rate")))
        .put("free_length", *filling.value(f"{end}.{coil}.free", said(f"{place}.free_length")))
        .put("block_length", *filling.value(f"{end}.{coil}.block", said(f"{place}.block_length")))
        for coil in coils(end, given)
    ]  # fmt: skip
    return Sheet().put("around_damper", spring_around(end, given)).listed("stack", stack, said(place))


def _damper(end: str, filling: Filling) -> Sheet:
    given = filling.given
    place = f"{CORNER}.damper"
    sheet = Sheet().put("open", *filling.value(f"{end}.damper.open", said(f"{place}.open")))
    sheet.put("closed", *filling.value(f"{end}.damper.closed", said(f"{place}.closed")))
    sheet.put("gas_force", *filling.value(f"{end}.damper.gas", said(f"{place}.gas_force")))
    if given.choice(f"{end}.stop", "no") == "no":
        return sheet
    stop = Sheet().put("length", *filling.value(f"{end}.stop.length", said(f"{place}.bump_stop.length")))
    curve: list[dict[str, Any]] = [
        {"squeeze": typed(given.text(f"{end}.stop.{k}.squeeze")), "force": typed(given.text(f"{end}.stop.{k}.force"))}
        for k in range(1, STOP_ROWS + 1)
        if given.text(f"{end}.stop.{k}.squeeze") and given.text(f"{end}.stop.{k}.force")
    ]
    told = said(f"{place}.bump_stop.curve")
    length = given.number(f"{end}.stop.length", LENGTH)
    if not curve and length is not None:
        curve = [{"squeeze": round(share * length, 1), "force": force} for share, force in STOP_CURVE]
        filling.guessed(f"{end}-stop", "its curve", "a usual one for its length", "may be off by half")
        told = f"a guess, by its length: {told}"
    return sheet.put("bump_stop", stop.rows("curve", curve, told))


def _height_point(end: str, corner: str, given: Given, filling: Filling | None = None) -> Sheet | None:
    """The lip above the hub: its height as read, its place across taken as half the track."""
    at = _lip(end, corner, given)
    if at is None:
        return None
    if filling is not None:
        filling.guessed("heights", f"{end}: how far out the lip is", f"half the track, {abs(at[1]):g} mm",
                        "give or take 30 mm")  # fmt: skip
    told = said(f"{CORNER}.height_point.at")
    return Sheet().put("what", "arch lip above the hub").put("at", at, f"{told}; how far left is a guess")


def _lip(end: str, corner: str, given: Given) -> list[float] | None:
    height, track = given.number(f"height.{corner}", LENGTH), given.number(f"{end}.track", LENGTH)
    hub, base = given.number(f"{end}.centre_height", LENGTH), given.number("wheelbase", LENGTH)
    if height is None or track is None or hub is None or base is None:
        return None
    z = height + hub if given.choice("height_to", "floor") == "hub" else height
    across = track / 2 if corner.endswith("left") else -track / 2
    return [0.0 if end == "front" else -round(base, 2), round(across, 2), round(z, 2)]


def _right(end: str, given: Given) -> Sheet:
    """Where the right corner is not the left one's mirror: its height, and where its adjusters stand."""
    sheet = Sheet()
    left, right = corners_of(end)
    if given.text(f"height.{right}") and _lip(end, left, given) is not None:
        point = _lip(end, right, given)
        sheet.put("height_point", None if point is None else Sheet().put("at", point))
    adjusters = Sheet()
    for offer in there(end, given):
        text = given.text(f"{end}.{offer.name}.setting.right")
        if offer.kind != "bar_link" and text:
            adjusters.put(offer.name, Sheet().put("setting", _travel(offer, text)))
    return sheet.put("adjusters", adjusters)


def _adjuster(end: str, offer: Offer, filling: Filling) -> Sheet:
    given = filling.given
    start = f"{end}.{offer.name}"
    place = f"{CORNER}.adjusters.perch"
    sheet = Sheet().put("kind", offer.kind).put("unit", offer.unit)
    if offer.unit in ("turn", "flat"):
        sheet.put("pitch", *filling.value(f"{start}.pitch", said(f"{place}.pitch", AROUND)))
    elif offer.unit == "shim":
        sheet.put("pitch", typed(given.text(f"{start}.pitch")), "thickness of one")
    elif offer.unit == "notch":
        sheet.put("pitch", 1.0, "only counts the notches: its effect is per notch")
    step = typed(given.text(f"{start}.step") or offer.step)
    sheet.put("step", step, said(f"{place}.step"))
    side = "" if offer.kind == "bar_link" else ".left"
    now = given.text(f"{start}.setting{side}")
    sheet.put("setting", _travel(offer, now), "now, and grows with plus")
    sheet.put("measured_at", _travel(offer, given.text(f"{start}.at") or now), said(f"{place}.measured_at"))
    low, high = (_travel(offer, given.text(f"{start}.{name}")) for name in ("low", "high"))
    sheet.put("range", None if low is None or high is None else [low, high], "least and greatest that is allowed")
    sheet.put("plus", offer.plus).put("minus", offer.minus)
    effect = {name: typed(given.text(f"{start}.effect.{name}")) for name in offer.effects
              if given.text(f"{start}.effect.{name}")}  # fmt: skip
    if offer.kind == "spacer":
        effect = {"half_track": 1.0}
    if effect:
        sheet.flat("effect", effect, f"per {offer.unit}")
    return sheet.put("sets", offer.sets)


def _travel(offer: Offer, text: str) -> Any:
    """A setting as a file writes it: a length, or a count in the hand's unit."""
    if not text:
        return None
    value = typed(text)
    if offer.unit in ("notch", "shim") and isinstance(value, float):
        return f"{value:g} {offer.unit}"
    return value
