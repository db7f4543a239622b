"""Choices in words and trade units: what each gives up, what stands in the way of the wishes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cornerwright.model.results_choose import ChoiceFigure, ChoicePlan, InTheWay
from cornerwright.model.shelf import ShelfBar, ShelfDamper, ShelfSpring
from cornerwright.model.target import Band
from cornerwright.model.units import ANGLE, FREQUENCY, LENGTH, RATE, SHARE, STANDARD_GRAVITY, Kind, to_document
from cornerwright.planning.shelf import PartSet
from cornerwright.planning.shelf_axle import REASONS, AxleSets
from cornerwright.planning.shelf_pairs import Pairing, misses

Array = NDArray[np.float64]

WISHES: dict[str, tuple[str, Kind, str, str, int]] = {
    "front_frequency": ("front ride frequency", FREQUENCY, "_hz", "Hz", 2),
    "rear_frequency": ("rear ride frequency", FREQUENCY, "_hz", "Hz", 2),
    "front_damping": ("front damping", SHARE, "_percent", "%", 0),
    "rear_damping": ("rear damping", SHARE, "_percent", "%", 0),
    "roll": ("roll", ANGLE, "_deg_per_g", "deg per g", 2),
    "front_transfer": ("front share of the load that goes over", SHARE, "_percent", "%", 1),
    "understeer": ("understeer", ANGLE, "_deg_per_g", "deg per g", 2),
    "limit_push": ("push at the limit", SHARE, "_percent", "%", 1),
    "stroke_used": ("stroke used", SHARE, "_percent", "%", 0),
}
"""Each wish in words, its kind, the end of its key, its unit and its decimals."""


def figures_told(figures: dict[str, Array], miss: Array, bands: dict[str, Band]) -> dict[str, ChoiceFigure]:
    """Figures by key with its unit, with what was wanted of each; the price stands elsewhere."""
    off = dict(zip(bands, miss, strict=True))
    found = {}
    for name, (_, kind, suffix, _, _) in WISHES.items():
        value = float(figures[name][0]) if name in figures else np.nan
        if name == "stroke_used" and name not in bands:
            continue
        band = bands.get(name)
        found[name + suffix] = ChoiceFigure(
            value=_told(value, kind),
            low=None if band is None else _told(band.low, kind),
            high=None if band is None else _told(band.high, kind),
            outside=None if band is None else round(float(off[name]), 3),
        )
    return found


def _told(value: float, kind: Kind) -> float | None:
    return float(f"{to_document(float(value), kind):.6g}") if np.isfinite(value) else None


def range_words(name: str, band: Band, currency: str = "") -> str:
    """What is wanted, as in `1.7 to 1.9 Hz` or `at most 600 EUR`."""
    if name == "price":
        return f"at most {band.high:.0f} {currency}".strip()
    _, kind, _, unit, places = WISHES[name]
    low, high = (_number(to_document(edge, kind), places) for edge in (band.low, band.high))
    if not np.isfinite(band.low):
        return f"at most {high} {unit}"
    if not np.isfinite(band.high):
        return f"at least {low} {unit}"
    return f"{low} to {high} {unit}"


def value_words(name: str, value: float, band: Band | None = None, currency: str = "") -> str:
    """A figure as the page shows it, with a digit more where it would seem to lie on the range's edge."""
    if name == "price":
        return f"{value:.0f} {currency}".strip()
    if not np.isfinite(value):
        return "not computed"
    _, kind, _, unit, places = WISHES[name]
    shown = to_document(value, kind)
    if band is not None:
        edges = [f"{to_document(e, kind):.{places}f}" for e in (band.low, band.high) if np.isfinite(e)]
        places += f"{shown:.{places}f}" in edges
    return f"{_number(shown, places)} {unit}"


def _number(value: float, places: int) -> str:
    """With a true minus sign."""
    return f"{value:.{places}f}".replace("-", "\N{MINUS SIGN}")


def wish_words(name: str) -> str:
    """The wish's name."""
    return "price" if name == "price" else WISHES[name][0]


def gives_up(figures: dict[str, Array], miss: Array, bands: dict[str, Band], currency: str, plan: ChoicePlan) -> str:
    """One line: what is missed with these parts, the worst first."""
    order = np.argsort(-miss, kind="stable")
    names = list(bands)
    said = [
        f"{wish_words(names[k])} {value_words(names[k], float(figures[names[k]][0]), bands[names[k]], currency)}, "
        f"wanted {range_words(names[k], bands[names[k]], currency)}"
        for k in order
        if miss[k] > 0.0
    ]
    if plan.verdict != "reaches all targets":
        said.append("the plan falls short of heights, angles or weights")
    return "; ".join(said) if said else "nothing: every wish is met"


def parts_words(*sets: PartSet) -> str:
    """Names of the parts of a front and a rear set."""
    names = [
        (part.name if part.name.lower().startswith(end) else f"{end} {part.name}") + _ordered(part)
        for end, one in zip(("front", "rear"), sets, strict=False)
        for part in one.parts
    ]
    return ", ".join(names) or "the parts that are on the car"


def _ordered(part: ShelfSpring | ShelfBar | ShelfDamper) -> str:
    if isinstance(part, ShelfDamper) or part.rate_up_to is None:
        return ""
    return f" at {to_document(part.rate, RATE):.4g} N/mm"


def in_the_way(pairing: Pairing, axles: tuple[AxleSets, ...], miss: Array, letter: str) -> tuple[InTheWay, ...]:
    """Why the nearest choice misses each wish that it misses."""
    bands = pairing.bands
    currency = pairing.front.car.shelf.currency
    best = pairing.best_of_each()
    rows = []
    for k, name in enumerate(bands):
        if miss[k] <= 0.0:
            continue
        pair, least = best[name]
        figures = pairing.figures(pair[None])
        value = float(figures[name][0])
        who = parts_words(pairing.front.sets[pair[0]], pairing.rear.sets[pair[1]])
        shown = value_words(name, value, bands[name], currency)
        if least > 0.0:
            says = f"nothing within the car's limits comes nearer than {shown} ({who})"
            says += _would(name, bands[name], axles, pairing)
        else:
            others = misses(figures, bands)[0]
            lost = [
                f"{wish_words(other)} {value_words(other, float(figures[other][0]), bands[other], currency)}"
                for other, off in zip(bands, others, strict=True)
                if off > 0.0
            ]
            says = f"{who} would do it ({shown})" + (f", but with {', '.join(lost)}" if lost else "")
            if not lost:
                says += f" by quick figures; in full, {letter} is nearer or no plan reached it"
        told = value if name == "price" else to_document(value, WISHES[name][1])
        key = name if name == "price" else name + WISHES[name][2]
        rows.append(InTheWay(wish=key, nearest=float(f"{told:.5g}") if np.isfinite(told) else None, says=says))
    return tuple(rows)


def _would(name: str, band: Band, axles: tuple[AxleSets, ...], pairing: Pairing) -> str:
    """Parts that would, were they not left out; else the rate that would."""
    end, _, what = name.partition("_")
    if what not in ("frequency", "damping"):
        return ""
    axle = next(one for one in axles if one.end == end)
    values = getattr(axle.figures, what)
    broken = axle.broken()
    off = misses({name: values}, {name: band})[:, 0]
    out = np.flatnonzero((off == 0.0) & (broken != ""))
    if out.size:
        one = out[int(np.argmin(axle.price[out]))]
        names = ", ".join(part.name for part in axle.sets[one].parts) or "what is on the car"
        return f"; {names} would, but {REASONS[str(broken[one])]}"
    if what == "damping":
        return ""
    kept = pairing.front if end == "front" else pairing.rear
    near = int(np.argmin(misses({name: kept.figures.frequency}, {name: band})[:, 0]))
    bench, now = kept.bench, float(kept.figures.rate[near])
    aim = band.aim if np.isfinite(band.aim) else band.low if kept.figures.frequency[near] < band.low else band.high
    both = bench.carried / STANDARD_GRAVITY * (2.0 * np.pi * aim) ** 2
    if both >= bench.tyre_rate:
        return "; the tyres alone are softer than that"
    needed = 1.0 / (1.0 / both - 1.0 / bench.tyre_rate)
    share = (needed - bench.bush_rate) / (now - bench.bush_rate)
    corner = getattr(kept.car, end).left
    parts = kept.sets[near].springs
    coil = parts[0].rate if parts else max(corner.spring.stack, key=lambda one: one.free_length).rate
    return f"; a spring of about {to_document(coil * share, RATE):.0f} N/mm would"


def nothing_fits(axle: AxleSets) -> tuple[InTheWay, ...]:
    """The set of this axle that comes nearest to the car's hard limits, where none keeps them."""
    broken = axle.broken()
    if (broken == "").any():
        return ()
    near = int(np.argmax(axle.figures.worst))
    names = ", ".join(part.name for part in axle.sets[near].parts) or "what is on the car"
    short = axle.figures.worst[near]
    by = f", short by {to_document(-short, LENGTH):.0f} mm" if np.isfinite(short) else ""
    says = f"nothing on the shelf keeps the car's limits at the {axle.end}; nearest is {names}: "
    return (InTheWay(wish=axle.end, nearest=None, says=f"{says}{REASONS[str(broken[near])]}{by}"),)
