"""The steps of one axle: springs, damper, jack table, bar. The left side is measured, the right is its mirror."""

from __future__ import annotations

from cornerwright.model.starter import APART, AROUND, said
from cornerwright.model.units import ANGLE, FORCE, LENGTH, RATE
from cornerwright.planning.starting.asked import SPRINGS, STANDS, Given, Question, Step
from cornerwright.planning.starting.jack_rows import ROWS_AT_FIRST, lift_zero

WHERE = (("around", "around the damper"), ("apart", "apart from it"))
DEFAULT_WHERE = {"front": "around", "rear": "apart"}
STACK = (("one", "one spring"), ("two", "main and helper"), ("three", "main, helper, tender"))
COILS = ("main", "helper", "tender")
YES_NO = (("no", "none"), ("yes", "there is one"))
LIFT_BY = (("hub", "hub to lip"), ("lift", "lift itself"))
MOST_ROWS = 12
STOP_ROWS = 4

COLUMNS = (
    ("spring", "spring", "seat to seat", LENGTH, 20.0, 700.0),
    ("damper", "damper", "eye to eye", LENGTH, 150.0, 900.0),
    ("camber", "camber", "gauge upright; top in is minus", ANGLE, -8.0, 8.0),
    ("toe", "toe", "to the string; toe-in is plus", ANGLE, -4.0, 4.0),
    ("half_track", "sideways", "from a fixed mark; outward is plus", LENGTH, -300.0, 1500.0),
    ("caster", "caster", "where you can", ANGLE, -2.0, 15.0),
)
"""Columns of the jack table after the lift."""


def spring_around(end: str, given: Given) -> bool:
    """Whether the spring sits on the damper's body."""
    return given.choice(f"{end}.spring_at", DEFAULT_WHERE[end]) == "around"


def coils(end: str, given: Given) -> tuple[str, ...]:
    """Names of the springs of a stack."""
    return COILS[: {"one": 1, "two": 2, "three": 3}.get(given.choice(f"{end}.stack", "one"), 1)]


def axle_steps(end: str, given: Given) -> list[Step]:
    """What is measured at one axle before its adjusters."""
    return [_springs(end, given), _damper(end), _stop(end, given), _jacking(end, given), _rows(end, given),
            _bar(end, given)]  # fmt: skip


def _springs(end: str, given: Given) -> Step:
    asked = [
        Question(f"{end}.spring_at", "the spring sits", choices=_first(WHERE, DEFAULT_WHERE[end])),
        Question(f"{end}.stack", "how many", said("front.left.spring.stack"), choices=STACK),
    ]
    for coil in coils(end, given):
        soft = coil != "main"
        asked += [
            Question(f"{end}.{coil}.rate", f"{coil}: rate", said("front.left.spring.stack.rate"), RATE, needed=True,
                     least=0.3 if soft else 8, most=400),
            Question(f"{end}.{coil}.free", f"{coil}: free length", said("front.left.spring.stack.free_length"), LENGTH,
                     needed=True, least=15 if soft else 80, most=600),
            Question(f"{end}.{coil}.block", f"{coil}: coil bound", said("front.left.spring.stack.block_length"),
                     LENGTH, needed=True, least=3, most=300),
        ]  # fmt: skip
    return Step(
        f"{end}-springs", "Springs", "springs",
        ("Around: the spring sits on the damper's body or strut. Apart: on an arm, the damper beside it.",
         "Off the car, unloaded: stand each spring on a table and measure it. Coil bound is the length with all coils "
         "touching."),
        tuple(asked), cautions=(SPRINGS,), place=end,
    )  # fmt: skip


def _first(choices: tuple[tuple[str, str], ...], default: str) -> tuple[tuple[str, str], ...]:
    return tuple(sorted(choices, key=lambda one: one[0] != default))


def _damper(end: str) -> Step:
    place = "front.left.damper"
    return Step(
        f"{end}-damper", "Damper", "damper",
        ("From the middle of one eye to the middle of the other; on a strut from the face under its top mount to its "
         "foot. Use the same two places in the jack table.",
         "Pull it right out, measure; take the bump stop off, push it right in, measure. Then tie a mark to the rod "
         "and read the stroke by itself: it must be the difference."),
        (Question(f"{end}.damper.open", "extended", said(f"{place}.open"), LENGTH, needed=True, least=180, most=900),
         Question(f"{end}.damper.closed", "compressed", said(f"{place}.closed"), LENGTH, needed=True, least=120,
                  most=750),
         Question(f"{end}.damper.stroke", "stroke, measured", "on the rod; a check, may be left out", LENGTH, least=30,
                  most=400),
         Question(f"{end}.damper.gas", "gas force", said(f"{place}.gas_force"), FORCE, guess="120",
                  doubt="give or take 100 N", least=0, most=800)),
        cautions=(SPRINGS, "A damper under gas pushes its rod out: let go of it slowly, and never heat or drill it."),
        place=end,
    )  # fmt: skip


def _stop(end: str, given: Given) -> Step:
    place = "front.left.damper.bump_stop"
    asked = [Question(f"{end}.stop", "bump stop", choices=YES_NO)]
    rows: list[tuple[Question, ...]] = []
    if given.choice(f"{end}.stop", "no") == "yes":
        asked.append(Question(f"{end}.stop.length", "length", said(f"{place}.length"), LENGTH, needed=True, least=8,
                              most=150))  # fmt: skip
        rows = [
            (Question(f"{end}.stop.{k}.squeeze", "squeezed by", "", LENGTH, least=1, most=140),
             Question(f"{end}.stop.{k}.force", "force", "", FORCE, least=5, most=20000))
            for k in range(1, STOP_ROWS + 1)
        ]  # fmt: skip
    return Step(
        f"{end}-stop", "Bump stop", "stop",
        ("The rubber or foam on the damper's rod, or beside it: its length unloaded, packers with it.",
         "Press it on a scale and read how far it is squeezed at three or four forces. Left out, a usual curve for its "
         "length is taken, and marked as a guess."),
        tuple(asked), tuple(rows), place=end, may_skip="Without one the damper ends metal to metal.",
    )  # fmt: skip


def _jacking(end: str, given: Given) -> Step:
    found = lift_zero(end, given)
    known = None if found is None else f"{found:.1f}"
    return Step(
        f"{end}-jack", "Raise the car, jack one wheel", "jacking",
        ("Raise the body onto stands, level. Wheel on, spring out (of a strut: off the damper), bar unhooked, rubber "
         "bushes slack. Note where each adjuster stands and leave it there.",
         "Put the jack under the hub or the arm's outer end and raise the left wheel from full droop, damper right "
         "out, to full bump, stop squeezed, in steps of 20 mm. The body must not move on its stands.",
         "At each step the distance from hub to lip tells the lift: it is what that distance is less than standing."),
        (Question(f"{end}.lift_by", "each step is told by", choices=LIFT_BY),
         Question(f"{end}.hub_to_lip", "hub to lip, standing", "on the floor, as the car stands", LENGTH, guess=known,
                  doubt="from the heights", least=100, most=700)),
        cautions=(STANDS, SPRINGS, "The jack only moves the wheel: the body hangs on the stands, never on it."),
        place=end, may_skip="The heights tell it.",
    )  # fmt: skip


def rows_shown(end: str, given: Given) -> int:
    """How many rows of the table are offered: those with an answer and one more."""
    used = [int(name.split(".")[2]) for name in given.under(f"{end}.row.") if name.split(".")[2].isdigit()]
    return min(MOST_ROWS, max([ROWS_AT_FIRST, *(k + 1 for k in used)]))


def row_questions(end: str, k: int, given: Given) -> tuple[Question, ...]:
    """One row of the jack table."""
    by_hub = given.choice(f"{end}.lift_by", "hub") == "hub"
    first = Question(
        f"{end}.row.{k}.at", "hub to lip" if by_hub else "lift", "" if by_hub else "bump is plus", LENGTH,
        least=50 if by_hub else -200, most=800 if by_hub else 200,
    )  # fmt: skip
    return (first, *(
        Question(f"{end}.row.{k}.{name}", words, how, kind, least=least, most=most)
        for name, words, how, kind, least, most in COLUMNS
    ))  # fmt: skip


def _rows(end: str, given: Given) -> Step:
    around = spring_around(end, given)
    told = said(f"{end}.left.linkage.rows", AROUND if around else APART)
    return Step(
        f"{end}-rows", "Read at each step of the jack", "rows",
        (f"At every step: {told}. Leave out what you did not read. Three steps at least, five or more are better; some "
         "below standing height, some above.",
         "Camber: gauge upright on the rim, pressed at the same two places each time. Toe: from a straight edge on the "
         "wheel to a string along the car. Sideways: from the rim to any mark that does not move."),
        rows=tuple(row_questions(end, k, given) for k in range(1, rows_shown(end, given) + 1)),
        cautions=(STANDS,), place=end,
    )  # fmt: skip


def _bar(end: str, given: Given) -> Step:
    asked = [Question(f"{end}.bar", "anti-roll bar", choices=YES_NO)]
    if given.choice(f"{end}.bar", "no") == "yes":
        asked.append(Question(f"{end}.bar.rate", "rate at the wheels", said("front.bar.rate"), RATE, needed=True,
                              least=0.5, most=150))  # fmt: skip
    return Step(
        f"{end}-bar", "Anti-roll bar", "bar",
        ("Body on stands, both springs out, bar hooked on. Hold one wheel, push the other up by a measured lift, and "
         "read the force under it: its rate is force over lift.",),
        tuple(asked), cautions=(STANDS, SPRINGS), place=end, may_skip="Without a bar nothing is lost.",
    )  # fmt: skip
