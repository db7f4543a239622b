"""Laying out what the readings taught: what the car is, what they cannot see, what to read next."""

from __future__ import annotations

from cornerwright.cli.page import Page
from cornerwright.cli.show import findings
from cornerwright.drawing.lettering import figure, place_words
from cornerwright.model.results_plan import LearnResult

VERDICTS = {
    "fitted": "The car file and the readings agree on this car.",
    "not converged": "The readings could not be fitted to the car file.",
    "does not stand": "The car as its file has it does not stand on its springs.",
    "nothing read": "There is nothing in the readings that the car file speaks of.",
}
DECIMALS = {"mm": 1, "deg": 2, "%": 1}
UNSEEN_SHOWN = 8


def learn(page: Page, result: LearnResult) -> None:
    """What the readings taught."""
    page.title(result.car, "learn")
    page.para(VERDICTS[result.verdict])
    if result.passes_without_settings:
        which = ", ".join(str(one) for one in result.passes_without_settings)
        page.para(f"Not used: pass {which}. Write the settings it was read at under `settings`, then it teaches too.")
    findings(page, result.findings, head="Look at these readings again")
    if result.learned:
        page.head("What they say of the car, against its file")
        page.columns(
            [
                [
                    _words(one.what),
                    figure(one.change, DECIMALS.get(one.unit, 2), True),
                    f"± {figure(one.sigma, DECIMALS.get(one.unit, 2))}",
                    one.unit,
                    f"(before ± {figure(one.sigma_before, DECIMALS.get(one.unit, 2))})",
                ]
                for one in result.learned
            ],
            align="<>><<",
        )
        if result.more_learned:
            page.para(f"and {result.more_learned} more, see --json")
    if result.unseen:
        page.head("What they cannot see")
        names = [_words(one) for one in result.unseen[:UNSEEN_SHOWN]]
        rest = len(result.unseen) - len(names)
        page.para(", ".join(names) + (f", and {rest} more" if rest > 0 else ""))
    if result.read_next:
        page.head("What to read next")
        for one in result.read_next:
            again = "once more" if one.again else "which was not read"
            page.para(
                f"{place_words(one.corner)} {one.reading.replace('_', ' ')}, {again}: takes off "
                f"{one.takes_off_percent:.0f} % of the doubt about heights, loads and angles",
                first="- ",
            )
    if result.written:
        page.head("Where it is")
        page.para(
            f"{result.written} holds the car as these readings show it. The readings are in it now: "
            "use it with new ones only."
        )
    page.gap()
    page.para(result.caution)


def _words(label: str) -> str:
    """`front_left.perch effect` as `front left perch effect`."""
    return label.replace("_", " ").replace(".", " ")
