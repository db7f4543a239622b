"""The pages as a site: it builds strictly and without a network, its links hold, its Python runs, it fits a phone."""

from __future__ import annotations

import importlib
import re
import shutil
import socket
import threading
from collections.abc import Iterator
from functools import partial
from html.parser import HTMLParser
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import unquote, urldefrag

import pytest

import cornerwright
from cornerwright.book.making import make_book
from cornerwright.cli.schemas import ANSWERS, FILES
from cornerwright.mechanics.linkage import kinds
from cornerwright.planning import check, job_list, knock_on
from cornerwright.planning.open_work import known_figures
from cornerwright.planning.trade_rules import Event
from diary import moved, opening, say
from shared import PROJECT
from worked import BLOCK, alike, example_folder, printed

DOCS = PROJECT / "docs"
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
PACKAGE = Path(cornerwright.__file__).parent


# ------------------------------------------------------------------- Python on the pages


@pytest.mark.parametrize("name", ["worked_example", "extending"])
def test_what_the_blocks_print_is_what_is_shown(name, tmp_path, monkeypatch):
    monkeypatch.setattr(kinds, "_TABLES", kinds._TABLES)  # put back what the page adds
    monkeypatch.setattr(check, "CORNER_RULES", check.CORNER_RULES)
    page = (DOCS / f"{name}.md").read_text(encoding="utf-8")
    blocks = list(printed(page, example_folder(tmp_path)))
    assert len(blocks) == len(re.findall(r"^```python$", page, re.MULTILINE)) > 4
    for block, said in blocks:
        assert alike(block["shown"] or "", said), f"`python tests/worked.py docs/{name}.md` renews it:\n{said}"
        assert said, "a block that shows nothing proves nothing"


@pytest.mark.parametrize(
    ("shown", "said", "same"),
    [
        ("camber -1.21 °", "camber -1.22 °", True),
        ("camber -1.21 °", "camber -1.24 °", False),
        ("16 moves", "17 moves", False),
        ("a b", "a  b\n", True),
        ("a b", "a c", False),
        ("1.5 2.5", "1.5", False),
    ],
)
def test_numbers_may_differ_by_a_unit_of_their_last_digit(shown, said, same):
    assert alike(shown, said) is same


def test_python_on_other_pages_compiles():
    for page in [PROJECT / "README.md", *DOCS.glob("*.md")]:
        for block in BLOCK.finditer(page.read_text(encoding="utf-8")):
            compile(block["code"], page.name, "exec")


# ------------------------------------------------------------------- how to extend


def test_files_and_names_on_the_page_of_extending_are_there():
    text = (DOCS / "extending.md").read_text(encoding="utf-8")
    prose = re.sub(r"```.*?```", "", text, flags=re.DOTALL)
    files = set(re.findall(r"`([a-z_/]+\.py)`", prose))
    assert len(files) >= 10
    for file in files:
        assert (PACKAGE / file).exists(), file
    sources = "\n".join(path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py"))
    names = set(re.findall(r"`([A-Z][A-Za-z_]{3,})`", prose))
    assert len(names) >= 10
    for name in names:
        assert re.search(rf"^(class {name}\b|{name}\b.*=)", sources, re.MULTILINE), name
    for folder in re.findall(r"`(planning/\w+)`", prose):
        assert (PACKAGE / folder).is_dir(), folder


def test_a_rule_added_to_the_book_makes_its_job(tmp_path, monkeypatch):
    page = (DOCS / "extending.md").read_text(encoding="utf-8")
    code = next(block["code"] for block in BLOCK.finditer(page) if "Event(" in block["code"])
    names: dict[str, object] = {}
    exec(code, names)
    ramp = names["ramp"]
    assert isinstance(ramp, Event)
    monkeypatch.setattr(knock_on, "EVENTS", (*knock_on.EVENTS, ramp))
    monkeypatch.setattr(job_list, "RULES", {**job_list.RULES, ramp.name: ramp})
    done = tuple(
        f"{rule.name}@{place}"
        for rule in job_list.RULES.values()
        for place in (("car",) if rule.per == "car" else rule.axles)
    )
    with make_book(tmp_path / "car.book", [*opening(), say("done", 1, job="all in order", settles=done)]) as book:
        before = job_list.job_list(book.record(), known_figures(book.record(), book, "0"), "book")
        book.append_all([moved("front_left.perch", 20, 10)])
        after = job_list.job_list(book.record(), known_figures(book.record(), book, "0"), "book")
    assert "ramp@front" not in [job.name for job in before.jobs]
    job = next(one for one in after.jobs if one.name == "ramp@front")
    assert job.do == ramp.do
    assert job.source == "common practice, no source"


# ------------------------------------------------------------------- the site


class Page(HTMLParser):
    """What a page links to, what it loads, and the places on it."""

    LOADS = frozenset({"script", "img", "iframe", "source", "audio", "video", "embed", "object", "track", "input"})

    def __init__(self, file: Path) -> None:
        super().__init__()
        self.links: list[str] = []
        self.loads: list[str] = []
        self.places: set[str] = set()
        self.feed(file.read_text(encoding="utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        self.places |= {told[name] for name in ("id", "name") if name in told}
        if tag == "a" and "href" in told:
            self.links.append(told["href"])
        if tag == "link" and "href" in told and told.get("rel") != "canonical":
            self.loads.append(told["href"])
        if tag in self.LOADS and "src" in told:
            self.loads.append(told["src"])


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site, built strictly, with every door to a network shut."""
    commands = pytest.importorskip("mkdocs.commands.build")
    load_config = importlib.import_module("mkdocs.config").load_config

    def shut(*_: object) -> None:
        raise AssertionError("the site asked for the network while it was built")

    where = tmp_path_factory.mktemp("site")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket.socket, "connect", shut)
        patch.setattr(socket, "getaddrinfo", shut)
        config = load_config(config_file=str(PROJECT / "mkdocs.yml"), strict=True, site_dir=str(where))
        commands.build(config)
    return where


@pytest.fixture(scope="module")
def pages(site: Path) -> dict[Path, Page]:
    return {file: Page(file) for file in sorted(site.rglob("*.html"))}


def test_every_page_of_the_folder_is_on_the_site(site):
    for page in DOCS.glob("*.md"):
        assert (site / f"{page.stem}.html").exists()
    menu = Page(site / "index.html").links
    for page in DOCS.glob("*.md"):
        assert f"{page.stem}.html" in menu or page.stem == "index", f"{page.name} is in no menu"
    for name in (*FILES, *ANSWERS):
        assert (site / "schemas" / f"{name}.json").exists()


def test_no_link_is_dead(site, pages):
    dead, counted = [], 0
    for file, page in pages.items():
        if file.name == "404.html":
            continue
        for link in page.links:
            target, place = urldefrag(link)
            if re.match(r"[a-z]+:", target):
                continue
            counted += 1
            goal = (file.parent / unquote(target)).resolve() if target else file
            if not goal.exists() or (place and goal.suffix == ".html" and place not in Page(goal).places):
                dead.append(f"{file.name}: {link}")
    assert counted > 300
    assert sorted(set(dead)) == []


def test_no_page_loads_anything_from_elsewhere(site, pages):
    for file, page in pages.items():
        for load in page.loads:
            assert not re.match(r"([a-z]+:)?//", load), f"{file.name} loads {load}"
            if file.name != "404.html" and not load.startswith("data:"):
                assert (file.parent / unquote(urldefrag(load)[0])).exists(), f"{file.name} loads {load}"
    for style in site.rglob("*.css"):
        for load in re.findall(r"(?:@import|url\()\s*['\"]?([^'\")\s]+)", style.read_text(encoding="utf-8")):
            assert not re.match(r"(https?:)?//", load), f"{style.name} loads {load}"


@pytest.fixture(scope="module")
def browser() -> Iterator[object]:
    sync_api = pytest.importorskip("playwright.sync_api")
    if CHROMIUM is None:
        pytest.skip("no Chromium")
    with sync_api.sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture
def served(site: Path) -> Iterator[str]:
    """The site at an address of this machine, as its search needs it."""

    class Quiet(SimpleHTTPRequestHandler):
        def log_message(self, *_: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(site))) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.server_address[1]}/"
        server.shutdown()


@pytest.mark.parametrize("width", [390, 1280])
def test_pages_fit_the_screen_and_ask_for_nothing(browser, pages, site, served, width):
    page = browser.new_page(viewport={"width": width, "height": 844})
    asked: list[str] = []
    wrong: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda error: wrong.append(str(error)))
    for file in pages:
        page.goto(served + file.relative_to(site).as_posix())
        assert page.evaluate("document.scrollingElement.scrollWidth") <= width, f"{file.name} is wider than {width}"
        assert page.evaluate("document.querySelector('h1').innerText"), file.name
    page.goto(f"{served}index.html?q=cross+weight")
    page.evaluate("document.querySelector('#mkdocs-search-query').value = 'cross weight'")
    page.evaluate("document.querySelector('#mkdocs-search-query').dispatchEvent(new Event('keyup'))")
    page.wait_for_selector("#mkdocs-search-results article", state="attached", timeout=10_000)
    page.close()
    assert [url for url in asked if not url.startswith((served, "data:", "blob:"))] == []
    assert wrong == []


def test_pages_open_from_the_disk(browser, pages):
    page = browser.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    for file in pages:
        if file.name != "404.html":
            page.goto(file.as_uri())
            assert page.evaluate("getComputedStyle(document.querySelector('.navbar')).display") == "flex", file.name
    page.close()
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
