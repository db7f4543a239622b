"""Laying out joints: what is wrong first, then thread, torque and clamp."""

from __future__ import annotations

from collections.abc import Iterator

from cornerwright.cli.page import Cell, Page
from cornerwright.cli.show import LEVELS, good_to_know, small_print, wrong
from cornerwright.drawing.lettering import figure, place_words
from cornerwright.model.results_joint import JointAnswer, JointsResult
from cornerwright.planning.findings import worst

SAID = {
    "good": "Nothing wrong found.",
    "warnings": "No hard limit is broken; there are warnings.",
    "breaks a hard limit": "Breaks a hard limit.",
}

ONE_BY_ONE = ("torque", "clamp")
"""Notes about these are shown with their joint alone: many joints have them."""


def every(page: Page, result: JointsResult) -> None:
    """All joints of a car, a line each."""
    page.title(result.car or "", "joints")
    if not result.joints:
        page.para("The car file lists no joints: see fastening and joints in docs/files.md.")
        return
    page.para(SAID[result.verdict], style="strong")
    told = [finding for one in result.joints for finding in one.findings]
    wrong(page, told)
    page.head("Joints")
    rows: list[list[Cell]] = []
    place = ""
    for one in result.joints:
        if one.place != place:
            rows.append([place_words(one.place), "", "", "", "", ""])
            place = one.place
        rows.append([f"  {_short(one)}", _marking(one), _torque(one), _in(one), _clamp(one), _state(one)])
    page.columns(rows, align="<<>>><", header=["", "thread", "N·m", "in, turns", "clamp, kN", ""])
    page.para("N·m: the maker's torque; (in brackets: none given, our check). Clamp: least to greatest.", style="minor")
    good_to_know(page, [one for one in told if one.about not in ONE_BY_ONE])
    _cautions(page, result)


def _short(one: JointAnswer) -> str:
    return "wheel" if one.kind == "wheel" else place_words(one.name.partition(".")[2])


def _marking(one: JointAnswer) -> str:
    return f"{one.thread} {one.property_class}" if one.property_class else one.thread


def _torque(one: JointAnswer) -> str:
    if one.torque_nm is None:
        return "-"
    return figure(one.torque_nm) if one.torque_from == "maker" else f"({figure(one.torque_nm)})"


def _in(one: JointAnswer) -> str:
    return "-" if one.engagement_turns is None else figure(one.engagement_turns, 1)


def _clamp(one: JointAnswer) -> str:
    if one.clamp is None:
        return "-"
    return f"{_kilo(one.clamp.low_n)} to {_kilo(one.clamp.high_n)}"


def _kilo(force: float) -> str:
    return figure(force / 1000.0, 0)


def _state(one: JointAnswer) -> Cell:
    level = worst(one.findings)
    return (LEVELS[level], level) if level in ("limit", "warning") else "good"


def one(page: Page, result: JointsResult) -> None:
    """One joint in full."""
    joint = result.joints[0]
    where = "" if result.car is None else f"{result.car}, {place_words(joint.place)}: {_short(joint)}"
    page.title(where or f"{_marking(joint)}", "joint")
    if joint.what:
        page.para(joint.what)
    page.para(SAID[result.verdict], style="strong")
    wrong(page, joint.findings)
    for head, rows in (("Thread", _thread(joint)), ("Torque and clamp", _tight(joint)), ("Wheel", _wheel(joint))):
        lines: list[list[Cell]] = [[name, value, words] for name, value, words in rows]
        if lines:
            page.head(head)
            page.columns(lines, align="<>~")
    for words in joint.assumed:
        page.para(words, first="assumed: ", indent=2, style="minor")
    good_to_know(page, joint.findings)
    _cautions(page, result)


Row = tuple[str, str, str]


def _row(name: str, value: float | None, unit: str, decimals: int, words: str = "") -> Iterator[Row]:
    if value is not None:
        yield name, f"{figure(value, decimals)} {unit}", words


def _thread(one: JointAnswer) -> Iterator[Row]:
    hand = ", left-hand" if one.left_hand else ""
    yield "thread", one.thread, f"pitch {one.pitch_mm:.4g} mm{hand}"
    yield from _row("pitch diameter", one.pitch_diameter_mm, "mm", 3)
    yield from _row("minor diameter", one.minor_diameter_mm, "mm", 3, "of nut or hole")
    yield from _row("core diameter", one.core_diameter_mm, "mm", 3, "of the bolt")
    yield from _row("stress area", one.stress_area_mm2, "mm²", 1)
    yield from _row("proof load", _in_kilo(one.proof_load_n), "kN", 1, f"class {one.property_class}")
    yield from _row("breaks at", _in_kilo(one.breaking_load_n), "kN", 1, "at the least")
    turns = "" if one.engagement_turns is None else f"{figure(one.engagement_turns, 1)} turns, "
    turns += "" if one.engagement_diameters is None else f"{figure(one.engagement_diameters, 2)} diameters"
    yield from _row("thread in", one.engagement_mm, "mm", 1, turns)
    yield from _row("asked for", one.needed_mm, "mm", 1, f"{figure(one.needed_turns, 1)} turns at the least")
    yield from _row("as strong as bolt", one.equal_strength_mm, "mm", 1, "of thread, by FED-STD-H28/2B")
    yield from _row("", one.full_strength_mm, "mm", 1, "the same by VDI 2230")
    weak = {"bolt": "the bolt's thread goes first", "nut or hole": "the nut's or hole's thread goes first"}.get(
        one.strips_first or "", ""
    )
    yield from _row("tears out at", _in_kilo(one.strip_load_n), "kN", 1, weak)
    yield from _row("least in its range", one.thread_in_least_mm, "mm", 1, "where the adjuster ends")
    yield from _row("turns", one.angle_deg, "°", 1, "at the worst, through travel and lock")


def _in_kilo(force: float | None) -> float | None:
    return None if force is None else force / 1000.0


def _tight(one: JointAnswer) -> Iterator[Row]:
    source = {"maker": "the maker's: use this", "ours": "no maker's torque given: a check, not to be used"}
    yield from _row("torque", one.torque_nm, "N·m", 0, source.get(one.torque_from or "", ""))
    if one.torque_90_least_nm is not None:
        for name, value, friction in (
            ("90 % of yield at", one.torque_90_least_nm, one.friction_low),
            ("", one.torque_90_mean_nm, (one.friction_low + one.friction_high) / 2),
            ("", one.torque_90_most_nm, one.friction_high),
        ):
            yield from _row(name, value, "N·m", 0, f"our check, friction {friction:.2f}")
    if one.clamp is not None:
        yield (
            "clamp",
            f"{_kilo(one.clamp.middle_n)} kN",
            f"from {_kilo(one.clamp.low_n)} to {_kilo(one.clamp.high_n)} kN",
        )
    high = "" if one.yield_high_percent is None else f"up to {figure(one.yield_high_percent)} % at least friction"
    yield from _row("yield stress used", one.yield_percent, "%", 0, high)
    settles = "" if one.settles_mm is None else f"as faces settle by {figure(one.settles_mm, 3)} mm"
    yield from _row("settling takes", _in_kilo(one.settling_loss_n), "kN", 1, settles)
    yield from _row("least clamp left", _in_kilo(one.clamp_left_n), "kN", 1)
    yield from _row("friction over load", one.slip_safety, "", 2, "against sliding, at the least clamp")
    yield from _row("pressure", one.pressure_mpa, "MPa", 0, "under head or nut")
    yield from _row("check again after", one.retorque_km, "km", 0)


def _wheel(one: JointAnswer) -> Iterator[Row]:
    wheel = one.wheel
    if wheel is None:
        return
    stud = "stud" if wheel.held_by == "stud" else "bolt"
    length = wheel.tip_mm if wheel.held_by == "stud" else wheel.spacer_mm + wheel.pad_mm - wheel.tip_mm
    yield from _row("spacer", wheel.spacer_mm, "mm", 1)
    yield from _row("wheel's pad", wheel.pad_mm, "mm", 1, "from its face to the middle of the seat")
    yield from _row(stud, length, "mm", 1, f"{figure(wheel.length_needed_mm, 1)} mm asked for with this stack")
    yield "seat", wheel.nut_seat, f"in the wheel: {wheel.wheel_seat}"
    centred = {
        "hub": "of the hub",
        "spacer": "of the spacer",
        "seats": "nothing but the seats centres it",
    }
    yield from _row("on its spigot", wheel.spigot_left_mm, "mm", 1, centred.get(wheel.centred_by, ""))
    asked = "" if wheel.asked_moment_nm is None else f"the tyre can ask for {figure(wheel.asked_moment_nm)} N·m"
    yield from _row("friction holds", wheel.holds_moment_nm, "N·m", 0, asked)


def _cautions(page: Page, result: JointsResult) -> None:
    page.head("Cautions")
    for words in result.cautions:
        page.para(words, first="- ", indent=2)
    small_print(page, result.caution)
