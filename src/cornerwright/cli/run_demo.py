"""The demo: the whole job on the packaged example, its papers in a folder."""

from __future__ import annotations

import json
import shlex
from collections.abc import Callable
from pathlib import Path

import cornerwright
from cornerwright.book.store import FILE as BOOK_FILE
from cornerwright.book.transfer import import_book
from cornerwright.cli import show_plan
from cornerwright.cli.answers import document_as_plain
from cornerwright.cli.app_apart import Opened, open_apart
from cornerwright.cli.page import Page
from cornerwright.cli.papers import Papers, load_all, write_papers
from cornerwright.cli.saving import write_whole
from cornerwright.drawing.corner import corner_from_behind
from cornerwright.drawing.lettering import place_words
from cornerwright.model.errors import Refusal
from cornerwright.model.results import CheckResult, Result
from cornerwright.model.results_plan import PlanResult

EXAMPLE = "tarn_fell"
FILES = ("car.yaml", "readings.yaml", "targets.yaml")
COPIED = (*FILES, "shelf.yaml")
BOOK = "car.book"
STAYS = 30.0
"""How long the app stays open after its last use [min]."""

Progress = Callable[[float, str], None]


class Written(Result):
    """One file of the demo."""

    file: str
    what: str


class DemoResult(Result):
    """What the demo did and where it put it."""

    folder: str
    written: tuple[Written, ...]
    kept: tuple[str, ...]
    """Copies of the example that were there already and had been changed: left as they were."""
    check: CheckResult
    plan: PlanResult
    book: str
    """The example's book, where it can be opened."""
    app: Opened | None = None
    """The app with that book, where it was asked for."""


def example_folder() -> Path:
    """Where the example's files are: in the package as installed, or in the project's folder."""
    package = Path(cornerwright.__file__).parent
    for folder in (package / "examples", package.parents[1] / "examples"):
        if all((folder / EXAMPLE / name).is_file() for name in FILES):
            return folder / EXAMPLE
    raise Refusal.of("no example files beside the program", "a complete installation")


def run(out: Path, progress: Progress, with_app: bool = False) -> DemoResult:
    """Check and plan the example, its papers and book into the folder `out`. Raises Refusal, OSError."""
    source = example_folder()
    if out.exists() and not out.is_dir():
        raise Refusal.of(f"{out}, which is not a folder", "a folder", field="--out")
    out.mkdir(parents=True, exist_ok=True)
    written, kept = _copy(source, out)
    progress(0.0, "checking the car")
    car, readings, targets = load_all(*(source / name for name in FILES))
    checked = cornerwright.check(car)
    planned = cornerwright.plan(car, readings, targets, progress=progress)
    card, sheet, moves = (out / name for name in ("work-card.pdf", "rear-left.pdf", "moves.svg"))
    papers = Papers(card, sheet, moves, "rear_left")
    write_papers(car, readings, planned, papers, progress)
    corner = out / "rear-left.svg"
    scene = cornerwright.corner_scene(car, "rear_left")
    write_whole(corner, corner_from_behind(scene).svg().encode())
    answer = out / "plan.json"
    write_whole(answer, (json.dumps(document_as_plain(planned), indent=2) + "\n").encode())
    written += [
        Written(file=str(card), what="the work card: print it and take it to the car"),
        Written(file=str(sheet), what="one corner as the plan leaves it, with its travel left"),
        Written(file=str(moves), what="the car from above with its moves"),
        Written(file=str(corner), what="one corner from behind, as it stands now"),
        Written(file=str(answer), what="the plan for programs"),
    ]
    progress(0.9, "the book")
    book = out / BOOK
    if (book / BOOK_FILE).is_file():
        kept.append(str(book))
    else:
        import_book(source / "book", book)
        written.append(Written(file=str(book), what="the book of the build so far, with what is open"))
    app = open_apart(book, out / "app.log", STAYS) if with_app else None
    return DemoResult(
        folder=str(out),
        written=tuple(written),
        kept=tuple(kept),
        check=checked,
        plan=planned,
        book=str(book),
        app=app,
    )


def _copy(source: Path, out: Path) -> tuple[list[Written], list[str]]:
    """Copy the example's files for the user to play with; what they have changed stays."""
    says = ("the car", "what was read on it", "what is wanted", "parts that could be bought")
    what = dict(zip(COPIED, says, strict=True))
    written, kept = [], []
    for name in COPIED:
        content = (source / name).read_bytes()
        copy = out / name
        if copy.exists() and copy.read_bytes() != content:
            kept.append(str(copy))
        else:
            write_whole(copy, content)
            written.append(Written(file=str(copy), what=what[name]))
    return written, kept


def show(page: Page, result: DemoResult) -> None:
    """The check in short, the plan, and where everything is."""
    page.title("The whole job on an invented car", "demo")
    page.para(f"1. check: {result.check.verdict}", style="strong")
    for one in result.check.findings:
        if one.level != "note":
            page.para(f"{place_words(one.place)}, {one.about}: {one.says}", first="- ", indent=3)
    page.gap()
    page.para("2. plan", style="strong")
    page.gap()
    show_plan.plan(page, result.plan)
    page.head("Where it is")
    page.columns([[one.file, one.what] for one in result.written], align="<~")
    for name in result.kept:
        page.para(f"{name} was there already: left as it was", indent=2)
    page.gap()
    car, readings, targets = (str(Path(result.folder) / name) for name in FILES)
    page.para("Now change a height in the targets and plan again:")
    words = ("cornerwright", "plan", car, "--readings", readings, "--targets", targets)
    page.command(shlex.join(words), indent=2)
    page.para("Or see what is open in its book, or take the book to the car in the app:")
    page.command(shlex.join(("cornerwright", "book", "jobs", result.book)), indent=2)
    if result.app is None:
        page.command(shlex.join(("cornerwright", "app", result.book)), indent=2)
        return
    page.gap()
    page.para(f"The example's book is open: {result.app.address}", style="strong")
    minutes = f"{result.app.ends_after_minutes:g} minutes after its last page is closed"
    page.para(f"It ends by itself {minutes}; to end it now: kill {result.app.process}")
