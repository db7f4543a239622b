"""Letters and figures on a drawing: how wide a text is, where it breaks, how numbers are written.

All drawings are lettered in one monospaced face, so a text's width follows from the number of its
characters on any machine and a layout can be proved free of overlaps before it is ever rendered.
"""

from __future__ import annotations

import unicodedata
from fractions import Fraction
from typing import NamedTuple

from cornerwright.model.words import spoken

FONT = "DejaVu Sans Mono, Liberation Mono, Menlo, Consolas, monospace"
"""The first is embedded in typst; the others stand in for it in browsers, and none is wider."""
CELL = 0.602
"""Advance of one character over the font size (DejaVu Sans Mono: 1233 of 2048 units)."""
ASCENT = 0.93
DESCENT = 0.24
LEADING = 1.25
"""Line pitch over the font size; above ASCENT + DESCENT, so lines of one text never touch."""
POINT = 25.4 / 72.0
"""One typographic point (1/72 inch) in mm of paper."""
SMALLEST = 8.0 * POINT
"""Smallest lettering [mm of paper]."""

MINUS = "\N{MINUS SIGN}"
ELLIPSIS = "\N{HORIZONTAL ELLIPSIS}"
DEGREE = "\N{DEGREE SIGN}"

PLACES = ("front_left", "front_right", "rear_left", "rear_right")
UNITS = {"_mm": "mm", "_deg": DEGREE, "_kg": "kg", "_n": "N", "_percent": "%", "_hz": "Hz"}
DECIMALS = {"mm": 1, DEGREE: 2, "kg": 1, "N": 0, "%": 1, "Hz": 2, "": 2}


def cells(words: str) -> int:
    """Character cells a text takes: wide (East Asian) characters two, combining marks none."""
    count = 0
    for letter in words:
        if unicodedata.combining(letter):
            continue
        count += 2 if unicodedata.east_asian_width(letter) in "WF" else 1
    return count


def text_width(words: str, size: float) -> float:
    """Width [mm of paper] of a text lettered at this size [mm]."""
    return cells(words) * CELL * size


def clip(words: str, size: float, room: float) -> str:
    """The text, or as much of it as fits into the room [mm] with an ellipsis at its end."""
    if text_width(words, size) <= room:
        return words
    while words and text_width(words + ELLIPSIS, size) > room:
        words = words[:-1]
    return words.rstrip() + ELLIPSIS


def wrap(words: str, size: float, room: float, lines: int | None = None) -> tuple[str, ...]:
    """The text broken into lines that fit the room [mm]; beyond `lines` it ends in an ellipsis.

    Words longer than the room are broken where it ends.
    """
    done: list[str] = []
    line = ""
    waiting = words.split()
    while waiting:
        word = waiting.pop(0)
        longer = f"{line} {word}" if line else word
        if text_width(longer, size) <= room:
            line = longer
        elif line:
            done.append(line)
            line = ""
            waiting.insert(0, word)
        else:
            head = _head(word, size, room)
            done.append(head)
            if word[len(head) :]:
                waiting.insert(0, word[len(head) :])
    if line:
        done.append(line)
    if lines is not None and len(done) > lines:
        rest = " ".join(done[lines - 1 :])
        done = [*done[: lines - 1], clip(rest, size, room)]
    return tuple(done)


def _head(word: str, size: float, room: float) -> str:
    """As much of a long word as fits, at least one character."""
    count = 1
    while count < len(word) and text_width(word[: count + 1], size) <= room:
        count += 1
    return word[:count]


def figure(value: float, decimals: int = 0, signed: bool = False) -> str:
    """A number with a true minus sign; never "-0"."""
    shown = f"{abs(value):.{decimals}f}"
    if not any(digit in "123456789" for digit in shown):
        return shown
    if value < 0:
        return MINUS + shown
    return ("+" if signed else "") + shown


def mixed(amount: float, signed: bool = True) -> str:
    """An amount the way a hand counts it: whole units and a fraction, such as "+2 1/4"."""
    sign = MINUS if amount < 0 else "+" if signed and amount > 0 else ""
    near = Fraction(abs(amount)).limit_denominator(12)
    if abs(float(near) - abs(amount)) > 1e-6:
        return figure(amount, 2, signed)
    whole, part = divmod(near, 1)
    if part == 0:
        return f"{sign}{whole}"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def counted(amount: float, unit: str, signed: bool = True) -> str:
    """An amount with its unit in the right number: "+2 1/4 turns", "−1 flat", "+3.5 mm"."""
    if unit == "mm":
        decimals = next(d for d in (0, 1, 2) if d == 2 or abs(amount - round(amount, d)) < 1e-6)
        return f"{figure(amount, decimals, signed)} mm"
    if abs(amount) > 1:
        unit += "es" if unit.endswith("ch") else "s"
    return f"{mixed(amount, signed)} {unit}"


def place_words(place: str) -> str:
    """A corner's, an axle's or a reading's name as it is spoken."""
    return spoken(place)


def reading_words(key: str) -> tuple[str, str]:
    """A reading's name and its unit from a key such as `camber_deg`."""
    for suffix, unit in UNITS.items():
        if key.endswith(suffix):
            return place_words(key.removesuffix(suffix)), unit
    return place_words(key), ""


class Block(NamedTuple):
    """A block of text that would like to stand with its middle at `wish`."""

    wish: float
    height: float


def spread(blocks: list[Block], low: float, high: float, gap: float) -> list[float]:
    """Tops of blocks (in their given order) moved apart until none overlaps, each as near its wish as it can.

    All lie between low and high, which must have room for all. Blocks that touch move as one, by the
    least squares of their shifts (pool-adjacent-violators).
    """
    needed = sum(block.height for block in blocks) + gap * max(0, len(blocks) - 1)
    if needed > high - low + 1e-9:
        raise ValueError(f"{needed:.1f} mm of labels do not fit into {high - low:.1f} mm")
    before = [0.0]
    for block in blocks:
        before.append(before[-1] + block.height + gap)
    pools: list[tuple[float, int]] = []
    for block, start in zip(blocks, before, strict=False):
        mean, count = block.wish - block.height / 2 - start, 1
        while pools and pools[-1][0] > mean:
            other, others = pools.pop()
            mean = (mean * count + other * others) / (count + others)
            count += others
        pools.append((mean, count))
    shifts = [shift for shift, count in pools for _ in range(count)]
    last = high - low - needed
    return [min(max(s, low), low + last) + b for s, b in zip(shifts, before, strict=False)]


def ticks(low: float, high: float, most: int = 6) -> tuple[list[float], int]:
    """Round values between low and high (steps of 1, 2 or 5) and the decimals they need."""
    span = high - low
    exponent = -12
    while True:
        for digit in (1, 2, 5):
            step = Fraction(digit) * Fraction(10) ** exponent
            first, final = -int(-Fraction(low) // step), int(Fraction(high) // step)
            if final - first + 1 <= most and span > 0:
                values = [float(k * step) for k in range(first, final + 1)]
                return values, max(0, -exponent)
        exponent += 1
        if exponent > 12:
            return [], 0
