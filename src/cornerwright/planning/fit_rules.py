"""The rules of wheels and tyres: duty, rim, centring, clearance. Each fault in words of its own, with what to do.

What a part's own maker says (allowed rims, plate loads) goes before the rules of standards, and those before the
trade's usual values.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from cornerwright.assembly.fit_report import FitCorner
from cornerwright.mechanics import tyres
from cornerwright.mechanics import wheel_place as place
from cornerwright.model.results import Finding
from cornerwright.model.results_fit import ClearanceRow, CornerFit
from cornerwright.model.units import LENGTH, to_document
from cornerwright.planning.findings import finding

SAME_RIM = 0.5e-3
"""Rim sizes [m] nearer than this are the same."""


RADIUS_SLACK = 0.002
"""A free radius this far [m] outside what its marking allows is doubted."""


HARDLY = 0.01
"""A chance of rubbing above this is worth a word."""


def _say(corner: FitCorner, level: str, about: str, says: str, do: str) -> Finding:
    return finding(level, corner.name, about, says, do)


def _carries(corner: FitCorner, told: CornerFit) -> Iterator[Finding]:
    """Load of tyre and wheel."""
    marking, needed = corner.part.tyre.marking, corner.load_needed
    by_plate = corner.car.axles[corner.which // 2].most_load is not None
    what = "half of what the axle may carry" if by_plate else "what stands on it"
    if marking is not None and marking.load_index is None:
        yield _say(
            corner,
            "note",
            "tyre",
            f"the marking '{marking}' has no load index: whether it carries the car is not looked at",
            "write it as on its wall, such as '185/60R14 82H'",
        )
    allowed = corner.load_allowed
    if marking is not None and allowed is not None and needed is not None and allowed < needed - 1e-9:
        at_speed = ""
        if marking.load_index is not None and allowed < tyres.load_of_index(marking.load_index) - 1e-9:
            at_speed = f" at {_speed(corner)}"
        yield _say(
            corner,
            "limit",
            "tyre",
            f"the tyre carries {allowed:.0f} kg{at_speed} (load index {marking.load_index}); {what} is {needed:.0f} kg",
            f"a tyre of load index {_index_for(needed)} or more, as the car's maker says",
        )
    rim = corner.part.wheel.rim
    if rim is not None and rim.load is not None and needed is not None and rim.load < needed - 1e-9:
        yield _say(
            corner,
            "limit",
            "wheel",
            f"the wheel may carry {rim.load:.0f} kg; {what} is {needed:.0f} kg",
            "a wheel whose maker allows the load",
        )


def _index_for(needed: float) -> str:
    enough = [index for index, load in tyres.LOAD_INDEX.items() if load >= needed]
    return str(min(enough)) if enough else "beyond 130"


def _speed(corner: FitCorner) -> str:
    return f"{(corner.car.top_speed or 0.0) / tyres.KMH:.0f} km/h"


def _fast_enough(corner: FitCorner, told: CornerFit) -> Iterator[Finding]:
    """Speed symbol against the car's top speed."""
    marking, speed = corner.part.tyre.marking, corner.car.top_speed
    if marking is None or speed is None:
        return
    symbol = marking.speed_symbol
    if symbol is None:
        if not (marking.above_240 and speed <= 240 * tyres.KMH):
            yield _say(
                corner,
                "note",
                "tyre",
                f"the marking '{marking}' has no speed symbol: whether it is made for {_speed(corner)} is not known",
                "write it as on its wall; for ZR without a symbol ask its maker",
            )
    elif tyres.speed_of_symbol(symbol) < speed * (1 - 1e-9):
        fast = [one for one, most in tyres.SPEED_SYMBOL.items() if most >= speed]
        better = f"a tyre of speed symbol {fast[0]} or higher" if fast else "tyres that their maker makes for it"
        yield _say(
            corner,
            "limit",
            "tyre",
            f"speed symbol {symbol} is for {tyres.speed_of_symbol(symbol) / tyres.KMH:.0f} km/h; "
            f"the car reaches {_speed(corner)}",
            better,
        )


def _on_its_rim(corner: FitCorner, told: CornerFit) -> Iterator[Finding]:
    """Tyre and rim: diameter, width, and whether the radius in the file is that of the marking."""
    tyre, rim = corner.part.tyre, corner.part.wheel.rim
    marking = tyre.marking
    if marking is not None and rim is not None and abs(marking.rim_code * tyres.INCH - rim.diameter) > SAME_RIM:
        yield _say(
            corner,
            "limit",
            "tyre",
            f"the tyre is for a rim of {marking.rim_code:g} in, the wheel has {rim.diameter / tyres.INCH:.4g} in",
            "a tyre for this rim: one that is forced on comes off",
        )
        return
    allowed = corner.rim_range
    if rim is not None and allowed is not None:
        low, high = allowed
        level, by = ("limit", "its maker allows") if tyre.rims is not None else ("warning", "usual for it are")
        inches = f"{by} {low / tyres.INCH:.3g} to {high / tyres.INCH:.3g} in"
        if rim.width < low - SAME_RIM:
            yield _say(
                corner,
                level,
                "tyre",
                f"the tyre is too wide for the rim: the rim is {rim.width / tyres.INCH:.3g} in wide, {inches}",
                "a wider rim or a narrower tyre; the tyre maker's table counts",
            )
        elif rim.width > high + SAME_RIM:
            yield _say(
                corner,
                level,
                "tyre",
                f"the tyre is too narrow for the rim: the rim is {rim.width / tyres.INCH:.3g} in wide, {inches}",
                "a narrower rim or a wider tyre; the tyre maker's table counts",
            )
    least, most = told.tyre.diameter_low_mm, told.tyre.diameter_high_mm
    if least is not None and most is not None:
        slack, radius = to_document(RADIUS_SLACK, LENGTH), told.tyre.free_radius_mm
        if not least / 2 - slack <= radius <= most / 2 + slack:
            yield _say(
                corner,
                "warning",
                "tyre",
                f"a free radius of {radius:.0f} mm is not that of a {marking}: a new one has "
                f"{least / 2:.0f} to {most / 2:.0f} mm",
                "measure it again off the ground, or read the marking again",
            )


def _bolts_on(corner: FitCorner, told: CornerFit) -> Iterator[Finding]:
    """Bolt circle and bore against hub and spacer."""
    wheel = corner.part.wheel
    rim, hub, spacer = wheel.rim, wheel.hub, wheel.spacer
    if rim is None or hub is None:
        return
    on, circle = "the hub", hub.pitch_circle
    if spacer is not None:
        own = spacer.pitch_circle or hub.pitch_circle
        if abs(own - hub.pitch_circle) > place.SAME_CIRCLE:
            yield _say(
                corner,
                "limit",
                "spacer",
                f"the spacer's holes are on a pitch circle of {_mm(own)}, the hub's on {_mm(hub.pitch_circle)}",
                "a spacer for this hub",
            )
        if spacer.bolted_on and spacer.wheel_pitch_circle is not None:
            on, circle = "the spacer", spacer.wheel_pitch_circle
    if rim.bolts != hub.bolts:
        yield _say(
            corner,
            "limit",
            "wheel",
            f"the wheel has {rim.bolts} holes, the hub takes {hub.bolts}",
            "a wheel for this hub",
        )
    elif abs(rim.pitch_circle - circle) > place.SAME_CIRCLE:
        yield _say(
            corner,
            "limit",
            "wheel",
            f"wrong pitch circle: the wheel has {rim.bolts} x {_mm(rim.pitch_circle)}, "
            f"{on} {hub.bolts} x {_mm(circle)}",
            "a wheel for this hub; nuts drawn over to a near circle work loose and break studs",
        )


def _is_centred(corner: FitCorner, told: CornerFit) -> Iterator[Finding]:
    """What centres wheel and spacer."""
    wheel, centred = corner.part.wheel, corner.centring
    rim, hub, spacer = wheel.rim, wheel.hub, wheel.spacer
    if rim is None or hub is None or centred is None:
        return
    bore = rim.bore if rim.ring is None else rim.ring.inner
    spigot = spacer.spigot if spacer is not None and spacer.spigot is not None else hub.spigot
    play = corner.spacer_play
    if play is not None and play < place.TIGHTEST:
        yield _say(
            corner,
            "limit",
            "spacer",
            f"the spacer does not go on: its bore is smaller than the hub's spigot by {_mm(-play)}",
            "a spacer for this hub",
        )
    elif play is not None and play > place.LOOSEST:
        yield _say(
            corner,
            "warning",
            "spacer",
            f"nothing centres the spacer on the hub: its bore is {_mm(play)} larger than the spigot",
            "a spacer bored for this hub, or a ring that fills the gap",
        )
    if centred.by == "blocked":
        yield _say(
            corner,
            "limit",
            "wheel",
            f"wrong bore: {_mm(bore)} does not go over the spigot of {_mm(spigot)}",
            "a wheel with a larger bore, or have it bored by someone whose trade that is",
        )
    elif centred.by in ("seats", "nothing"):
        level, rest = ("warning", "its nuts alone centre it") if centred.by == "seats" else ("limit", "nothing does")
        if centred.play > place.LOOSEST:
            says = f"wrong bore: the wheel's is {_mm(centred.play)} larger than the spigot, which does not centre it"
            do = f"a centring ring of {_mm(bore)} outside and {_mm(spigot)} inside"
        elif spacer is not None:
            says = f"the spacer has no spigot and leaves {_mm(max(0.0, centred.held))} of the hub's for the wheel"
            do = "a spacer with a spigot of its own, of the hub's diameter"
        else:
            says = f"only {_mm(max(0.0, centred.held))} of spigot hold the wheel"
            do = "a wheel or hub with more of it"
        yield _say(
            corner, level, "spacer" if spacer is not None and "spacer" in says else "wheel", f"{says}: {rest}", do
        )


def _clears(corner: FitCorner, told: CornerFit) -> Iterator[Finding]:
    """Tyre against obstacles through travel and lock."""
    room = corner.part.room
    if room is None:
        if corner.part.wheel.rim is not None:
            yield _say(
                corner,
                "note",
                "clearance",
                "nothing around the wheel is measured: whether the tyre touches is not looked at",
                "measure arch, strut and arm, and write them under room",
            )
        return
    if not told.clearances:
        yield _say(
            corner,
            "note",
            "clearance",
            "the tyre's size is not known, so its clearances are not",
            "give the tyre's marking, or its width and the rim",
        )
        return
    gap = to_document(room.gap, LENGTH)
    for row in told.clearances:
        name = row.obstacle.replace("_", " ")
        what = "wheel" if row.against != "tyre" else "tyre"
        if row.clearance_mm < 0:
            yield _say(
                corner,
                "limit",
                "clearance",
                f"the {what} meets {name} by {-row.clearance_mm:.1f} mm {where(told, row)}",
                _relief(told, row),
            )
        elif row.clearance_mm < gap:
            yield _say(
                corner,
                "warning",
                "clearance",
                f"the {what} comes within {row.clearance_mm:.1f} mm of {name} {where(told, row)}; "
                f"{gap:.0f} mm are wanted",
                _relief(told, row),
            )
    chance = told.chance_of_rubbing or 0.0
    least = told.clearances[0].clearance_mm
    if least >= gap and chance > HARDLY:
        yield _say(
            corner,
            "note",
            "clearance",
            f"with how well it is measured, the chance that the tyre rubs is {100 * chance:.0f} %",
            f"measure {told.clearances[0].obstacle.replace('_', ' ')} again, more closely",
        )
    if corner.which < 2 and told.across_what == "straight ahead":
        yield _say(
            corner,
            "note",
            "clearance",
            "looked at straight ahead only: how this wheel steers is not known",
            "give lock under room (the steering axis and the angles at full lock), or a rack with a linkage of points",
        )


def where(told: CornerFit, row: ClearanceRow) -> str:
    """At which lift and lock, in words."""
    if row.on == "carrier":
        return "wherever the wheel goes"
    lift = f"at {row.lift_mm:+.0f} mm of lift"
    if told.across_what == "rack" and abs(row.across) > 0.5:
        return f"{lift}, rack at {row.across:+.0f} mm"
    if told.across_what == "turn" and abs(row.across) > 0.1:
        return f"{lift}, turned {row.across:+.0f} deg"
    if told.across_what == "other wheel":
        return f"{lift}, the other wheel at {row.across:+.0f} mm"
    return lift


def _relief(told: CornerFit, row: ClearanceRow) -> str:
    """What gives room there."""
    if row.against != "tyre":
        return "a spacer or a wheel with other spokes; turn it by hand and look before you drive"
    if row.on == "carrier":
        return "a spacer or less inset moves the tyre away from it; a narrower tyre gives half of what it saves"
    outside = abs(row.at_mm[1]) > abs(told.poses[0].centre_mm[1]) if told.poses else True
    if outside:
        return "more negative camber, a thinner spacer or more inset, a narrower tyre, or less bump travel or lock"
    return "a spacer or less inset, a narrower tyre, or less travel or lock"


def _mm(length: float) -> str:
    return f"{to_document(length, LENGTH):.4g} mm"


Rule = Callable[[FitCorner, CornerFit], Iterator[Finding]]

RULES: tuple[Rule, ...] = (_carries, _fast_enough, _on_its_rim, _bolts_on, _is_centred, _clears)
