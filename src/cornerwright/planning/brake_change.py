"""What to change to reach a wanted balance: bar turns, valve clicks, pistons, pads, bores."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from pydantic import ValidationError

from cornerwright.assembly.brake_inputs import LOAD_CASES, LoadCase, Parts, loading_of, system_of
from cornerwright.mechanics.braking import ORDER, Loading
from cornerwright.model.brake_parts import Brake, Pad
from cornerwright.model.brakes import Brakes
from cornerwright.model.results_brakes import Change, Wanted
from cornerwright.model.units import FORCE, LENGTH, PRESSURE, SHARE, to_document
from cornerwright.planning.brake_balance import (
    KNOCK_BACK,
    TYPE_0_RATE,
    finite,
    front_share,
    load_balance,
    rear_first,
)

RATE = 0.6
"""Deceleration [g] at which a balance is told where none is given."""
SAFE_TO = 0.85
"""Deceleration [g] up to which the front shall lock first where no balance is asked for: a little over the
regulation's 0.8 (common practice)."""
NEAR = 0.005
"""A share this near the wanted one is reached."""
MOST_TOLD = 6


@dataclass(frozen=True)
class _Option:
    """Parts changed, and how that is said."""

    parts: Parts
    says: tuple[str, ...] = ()
    count: int = 0


def safe_share(parts: Parts, rate: float) -> float:
    """Least front share [1] at `rate` with which the front locks first up to SAFE_TO in every state of load.

    With a valve the share rises with deceleration, so what is needed lower down is less: found on the
    straight line of constant share, which is on the safe side.
    """
    at = max(rate, SAFE_TO)
    return max(float(loading_of(parts.car, case).ideal_share(at)) for case in LOAD_CASES)


def wanted_changes(parts: Parts, case: LoadCase, share: float | None, rate: float = RATE) -> Wanted:
    """Ways to this share of the brake force in front [1] at `rate` [g]; None: to the least safe one."""
    loading = loading_of(parts.car, case)
    reason = "asked for"
    if share is None:
        share = safe_share(parts, rate)
        reason = f"the least with which the front locks first up to {SAFE_TO:g} g in every state of load"
    found = [
        _change(option, case, loading, share, rate)
        for option in _options(parts)
        for option in _set(option, loading, share, rate)
    ]
    best = _best([one for one in found if one is not None])
    return Wanted(
        front_percent=to_document(share, SHARE),
        rate_g=rate,
        now_percent=to_document(front_share(system_of(parts), loading, rate), SHARE),
        reason=reason,
        changes=tuple(best[:MOST_TOLD]),
    )


def _best(found: list[Change]) -> list[Change]:
    """Reached before not reached, fewer parts before more, near before far; each said once."""
    near = to_document(NEAR, SHARE)
    found.sort(key=lambda one: (abs(one.off_percent) > near, one.parts, abs(one.off_percent)))
    seen: dict[str, Change] = {}
    for one in found:
        seen.setdefault(one.what, one)
    return list(seen.values())


def _change(option: _Option, case: LoadCase, loading: Loading, share: float, rate: float) -> Change | None:
    if not option.says:
        return None
    system = system_of(option.parts)
    reached = front_share(system, loading, rate)
    if not np.isfinite(reached):
        return None
    foot = system.foot_for(TYPE_0_RATE * loading.weight)
    used = float(system.masters.used(system.volumes(foot, KNOCK_BACK))) if np.isfinite(foot) else np.nan
    return Change(
        what=" and ".join(option.says),
        parts=option.count,
        front_percent=to_document(reached, SHARE),
        off_percent=to_document(reached - share, SHARE),
        rear_first_from_g=rear_first(option.parts, system, case),
        order_kept=all(load_balance(option.parts, system, one).order_kept for one in LOAD_CASES),
        foot_n=None if not np.isfinite(foot) else to_document(foot, FORCE),
        stroke_used_percent=None if finite(used) is None else to_document(used, SHARE),
    )


# ------------------------------------------------------------------ parts


def _options(parts: Parts) -> Iterator[_Option]:
    """The car as it is, and with each part of the shelf."""
    yield _Option(parts)
    shelf = parts.brakes.shelf
    for one in shelf.pads:
        changed = _with_pad(parts, one.axle, one.pad)
        if changed is not None:
            yield _Option(changed, (f"{one.axle} pads '{one.pad.name}'",), 1)
    for axle, sizes in (("front", shelf.front_pistons), ("rear", shelf.rear_pistons)):
        for pistons in sizes:
            changed = _with_pistons(parts, axle, pistons)
            if changed is not None:
                many = " + ".join(f"{to_document(one, LENGTH):g}" for one in pistons)
                yield _Option(changed, (f"{axle} calipers with pistons of {many} mm",), 1)
    if parts.brakes.master is None:
        for bore in shelf.bores:
            for axle in ("front", "rear"):
                cylinder = parts.brakes.front_master if axle == "front" else parts.brakes.rear_master
                if cylinder is None or abs(cylinder.bore - bore) < 1e-6:
                    continue
                update = {f"{axle}_master": cylinder.model_copy(update={"bore": bore})}
                says = f"a {axle} master cylinder of {to_document(bore, LENGTH):g} mm"
                yield _Option(_with(parts, update), (says,), 1)


def _axle(parts: Parts, axle: str, change: Callable[[Brake], Brake]) -> Parts | None:
    fitted = list(parts.corners)
    try:
        for k in (0, 1) if axle == "front" else (2, 3):
            fitted[k] = change(fitted[k])
    except ValidationError:
        return None  # it does not fit the rotor
    return replace(parts, corners=(fitted[0], fitted[1], fitted[2], fitted[3]))


def _with_pad(parts: Parts, axle: str, pad: Pad) -> Parts | None:
    return _axle(parts, axle, lambda one: Brake.model_validate({**one.to_document(), "pad": pad.to_document()}))


def _with_pistons(parts: Parts, axle: str, pistons: tuple[float, ...]) -> Parts | None:
    def change(one: Brake) -> Brake:
        caliper = one.caliper.model_copy(update={"pistons": pistons})
        return Brake.model_validate({**one.to_document(), "caliper": caliper.to_document()})

    return _axle(parts, axle, change)


def _with(parts: Parts, update: Mapping[str, object]) -> Parts:
    return replace(parts, brakes=parts.brakes.model_copy(update=update))


# ------------------------------------------------------------------ settings


def _set(option: _Option, loading: Loading, share: float, rate: float) -> Iterator[_Option]:
    """The option as it is, and with what can be set brought as near as whole steps allow."""
    yield option
    for setting in (_bar_steps, _valve_steps):
        steps = setting(option.parts.brakes)
        if steps is None:
            continue
        low, high, build, words = steps
        best = _nearest(low, high, lambda k, build=build: _off(option.parts, build(k), loading, share, rate))  # type: ignore[misc]
        if best:
            yield _Option(_with(option.parts, build(best)), (*option.says, words(best)), option.count)


def _off(parts: Parts, update: dict[str, object], loading: Loading, share: float, rate: float) -> float:
    return front_share(system_of(_with(parts, update)), loading, rate) - share


def _nearest(low: int, high: int, off: Callable[[int], float]) -> int:
    """Step in low..high whose `off`, monotone in the step, is nearest to none."""
    at_low, at_high = off(low), off(high)
    if at_low * at_high > 0:
        return low if abs(at_low) < abs(at_high) else high if abs(at_high) < abs(at_low) else 0
    rising = at_high > at_low
    while high - low > 1:
        middle = (low + high) // 2
        if (off(middle) > 0) == rising:
            high = middle
        else:
            low = middle
    return min((low, high), key=lambda k: abs(off(k)))


Steps = tuple[int, int, Callable[[int], dict[str, object]], Callable[[int], str]]


def _bar_steps(brakes: Brakes) -> Steps | None:
    bar = brakes.balance_bar
    if bar is None:
        return None
    each = bar.step * bar.per_turn
    low, high = (int(np.trunc((end - bar.front) / each + 1e-9 * np.sign(end - bar.front))) for end in bar.range)

    def build(k: int) -> dict[str, object]:
        return {"balance_bar": bar.model_copy(update={"front": bar.front + k * each})}

    def words(k: int) -> str:
        turns = Fraction(abs(k)) * Fraction(bar.step).limit_denominator(16)
        way = "front" if k > 0 else "rear"
        to = to_document(bar.front + k * each, SHARE)
        return f"balance bar {_turns(turns)} towards the {way} ({to:.1f} % front)"

    return low, high, build, words


def _turns(turns: Fraction) -> str:
    whole, part = divmod(turns, 1)
    shown = f"{whole} {part}" if whole and part else f"{part}" if part else f"{whole}"
    return f"{shown} turn" if turns <= 1 else f"{shown} turns"


def _valve_steps(brakes: Brakes) -> Steps | None:
    valve = brakes.valve
    if valve is None or valve.per_click is None or valve.range is None:
        return None
    per_click = valve.per_click
    low, high = (
        int(np.trunc((end - valve.knee) / per_click + 1e-9 * np.sign(end - valve.knee))) for end in valve.range
    )

    def build(k: int) -> dict[str, object]:
        return {"valve": valve.model_copy(update={"knee": valve.knee + k * per_click})}

    def words(k: int) -> str:
        way = "more" if k > 0 else "less"
        many = valve.unit if abs(k) == 1 else f"{valve.unit}s"
        to = to_document(valve.knee + k * per_click, PRESSURE)
        return f"rear valve {abs(k)} {many} to {way} rear pressure (knee at {to:g} bar)"

    return low, high, build, words


def order_broken(parts: Parts) -> bool:
    """Whether in some state of load the rear locks first inside the regulation's range."""
    system = system_of(parts)
    return any((first := rear_first(parts, system, case)) is not None and first < ORDER[1] for case in LOAD_CASES)
