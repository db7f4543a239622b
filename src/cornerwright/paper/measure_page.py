"""The page "Measure your car" of the documentation, from the steps that the app walks through and their drawings.

python -m cornerwright.paper.measure_page docs
"""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path

from cornerwright.drawing.how_to import how_to
from cornerwright.planning.starting.adjuster_steps import OFFERS
from cornerwright.planning.starting.asked import SPRINGS, STANDS, Given, Question, Step
from cornerwright.planning.starting.steps import steps

PAGE = "measure.md"
FOLDER = "measure"

HEAD = """# Measure your car, step by step

<!-- Written by `python -m cornerwright.paper.measure_page docs` from the steps of the app; change them there. -->

`cornerwright app FOLDER` with a new folder asks for all of this on the phone, one thing at a time, and keeps each value
as it is typed ([the app](app.md#start-a-new-car)). This page is the same to read or to print. [Measuring a
car](measuring.md) says more: points of a linkage, readings as taken, brakes.

What has a guess may be left out: the guess then stands in the car file, marked, with how far it may be off. A bare
number is in the unit shown; any other may be written: `24 1/8 in`, `450 lbf/in`.

"""

CAUTION = (
    f"**This work can kill.** {STANDS} {SPRINGS} Torques, thread engagement and wear limits are those of the makers of "
    "the car and its parts. Brakes, height, track and spacers are subject to road law."
)
WIDTH = 118
"""Of a line of text."""

EVERYTHING = {
    "front.stop": "yes",
    "front.bar": "yes",
    "front.stack": "two",
    **{f"front.has.{one.name}": "yes" for one in OFFERS},
}
"""Answers that bring every kind of step; the rear's are the front's again."""


def shown_steps() -> tuple[Step, ...]:
    """The steps that the page shows: each once."""
    found: dict[str, Step] = {}
    for step in steps(Given(EVERYTHING)):
        if step.place != "rear":
            found.setdefault(step.title, step)
    return tuple(found.values())


def measure_page() -> str:
    """The page in Markdown."""
    return "\n".join(
        [HEAD + _para(CAUTION), *(line for k, step in enumerate(shown_steps(), start=1) for line in _section(k, step))]
    )


def _para(words: str) -> str:
    return textwrap.fill(words, WIDTH, break_long_words=False, break_on_hyphens=False) + "\n"


def _section(k: int, step: Step) -> Iterator[str]:
    place = " (each axle)" if step.place else ""
    yield f"## Step {k}: {step.title[0].lower()}{step.title[1:]}{place}\n"
    yield f"![{how_to(step.figure).title}]({FOLDER}/{step.figure}.svg)\n"
    for words in step.says:
        yield _para(words)
    for words in step.cautions:
        if words not in (STANDS, SPRINGS):
            yield _para(f"**{words}**")
        else:
            yield (
                "**Stands under the body.**\n" if words is STANDS else "**Springs unloaded, or a proper compressor.**\n"
            )
    asked = [*step.questions, *(step.rows[0] if step.figure in ("rows", "stop") else sum(step.rows, ()))]
    told = [one for one in asked if not one.tick]
    if told:
        yield "| value | unit | how | left out |\n| --- | --- | --- | --- |"
        for one in told:
            yield _row(one, bool(step.place))
        yield ""
    if step.figure == "rows":
        yield "At each step of the jack one such row.\n"
    ticks = [one.words for one in asked if one.tick]
    if ticks:
        yield _para(f"There may be: {'; '.join(ticks)}.")


def _row(one: Question, of_axle: bool) -> str:
    words = one.words.removeprefix("front ") if of_axle else one.words
    how = one.how or ("; ".join(shown for _, shown in one.choices))
    if one.guess is not None:
        unit = f" {one.unit}" if one.unit else ""
        left = f"{one.guess}{unit}, {one.doubt}"
    elif one.needed:
        left = "needed"
    else:
        left = one.choices[0][1] if one.choices else ""
    return f"| {words} | {one.unit} | {how} | {left} |"


def pictures() -> dict[str, str]:
    """The drawings, by file name."""
    return {f"{step.figure}.svg": how_to(step.figure).svg() + "\n" for step in shown_steps()}


def write(docs: Path) -> None:
    """The page and its drawings."""
    (docs / FOLDER).mkdir(exist_ok=True)
    (docs / PAGE).write_text(measure_page(), encoding="utf-8")
    for name, svg in pictures().items():
        (docs / FOLDER / name).write_text(svg, encoding="utf-8")


if __name__ == "__main__":
    write(Path(sys.argv[1]))
