"""What every screen stands in: the way through the app, and the plain elements it is made of."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from html import escape
from typing import Any, TypeVar, cast

from nicegui import run, ui
from nicegui.elements.mixins.text_element import TextElement

from cornerwright.model.errors import Refusal
from cornerwright.model.results import CAUTION
from cornerwright.web.look import style

WALK = (("/", "Floor"), ("/measure", "Measure"), ("/plan", "Plan"), ("/jobs", "Jobs"), ("/more", "More"))
POLL = 0.2
"""How often a screen asks whether another one has entered something [s]."""

HEAD = """
<script>
(function(){const t=localStorage.getItem('cw-theme');if(t)document.documentElement.setAttribute('data-'+t,'')})();
window.cwTheme=(t)=>{const r=document.documentElement;r.removeAttribute('data-dark');r.removeAttribute('data-light');
 if(t){r.setAttribute('data-'+t,'');localStorage.setItem('cw-theme',t)}else localStorage.removeItem('cw-theme')};
window.cwTyped=(f,v)=>{try{localStorage.setItem('cw:'+f,v)}catch(e){}};
window.cwKept=(f,v)=>{if(localStorage.getItem('cw:'+f)===v)localStorage.removeItem('cw:'+f)};
window.cwField=(f)=>document.querySelector('input[data-field="'+f+'"]');
window.cwFill=(all)=>{for(const [f,v] of Object.entries(all)){const e=cwField(f);if(!e)continue;
 const own=localStorage.getItem('cw:'+f);
 if(e.value==='')e.value=own===null?v:own;
 if(e.value===v)localStorage.removeItem('cw:'+f);else e.dispatchEvent(new Event('input'))}};
window.cwShow=(f,v)=>{const e=cwField(f);if(e&&e!==document.activeElement)e.value=v};
window.cwWrong=(f,w)=>{const e=cwField(f);if(e)e.setAttribute('aria-invalid',w)};
window.cwPhotos=async(input,to,most,large,emit)=>{for(const f of [...input.files]){
 if(f.size>most){emit(large);continue}
 try{const d=new FormData();d.append('photo',f,f.name);const a=await fetch(to,{method:'POST',body:d});
  if(!a.ok)emit('answer '+a.status)}catch(e){emit('the app does not answer')}}input.value=''};
</script>
"""


T = TypeVar("T")


async def aside(work: Callable[..., T], *args: Any) -> T:
    """Work done in a thread, so that other phones are answered meanwhile."""
    return cast("T", await run.io_bound(work, *args))


class Words(TextElement):
    """Text in an element of any kind."""

    def __init__(self, tag: str, text: str, classes: str = "") -> None:
        super().__init__(tag=tag, text=text)
        self.classes(classes)


class Tap(Words):
    """Something to tap, at least as large as a gloved finger."""

    def __init__(self, text: str, then: Callable[[], Any], *, first: bool = False, label: str = "") -> None:
        super().__init__("button", text, "tap first" if first else "tap")
        self.props('type="button"')
        if label:
            self.props(f'aria-label="{escape(label)}"')
        self.on("click", lambda: then())  # noqa: PLW0108  (without the event)

    def able(self, able: bool) -> None:
        """Whether it can be tapped."""
        self.props(remove="disabled") if able else self.props("disabled")


def link(text: str, to: str, classes: str = "tap", label: str = "") -> Words:
    """A way to another screen; with a label where its words alone do not say where."""
    found = Words("a", text, classes)
    if label:
        found.props["aria-label"] = label
    found.props(f'href="{escape(to)}"')
    return found


def box(classes: str = "", tag: str = "div") -> ui.element:
    """A plain container."""
    return ui.element(tag).classes(classes)


Cell = str | tuple[str, str]
"""A text, or a text and its classes."""


def table(head: Sequence[str], rows: Iterable[Sequence[Cell]], classes: str = "") -> list[list[Words]]:
    """Numbers in rows; the first cell of each is its head. A wide one is moved sideways by itself. Its cells."""
    made = []
    with box("scroll").props('tabindex="0" role="region" aria-label="table"'), box(classes, "table"):
        if head:
            with box("", "thead"), box("", "tr"):
                for words in head:
                    Words("th", words).props('scope="col"') if words else Words("td", "")
        with box("", "tbody"):
            for first, *rest in rows:
                with box("", "tr"):
                    made.append([Words("th", *_cell(first)).props('scope="row"')])
                    made[-1] += [Words("td", *_cell(one)) for one in rest]
    return made


def _cell(one: Cell) -> tuple[str, str]:
    return (one, "") if isinstance(one, str) else one


def picture(svg: str, classes: str = "picture") -> ui.html:
    """A drawing of ours: it needs no cleaning."""
    return ui.html(svg, sanitize=False).classes(classes)


@contextmanager
def screen(title: str, here: str, car: str, walk: tuple[tuple[str, str], ...] = WALK) -> Iterator[None]:
    """One screen; walk: the ways out of it, path and name."""
    ui.page_title(f"{title} · {car}")
    ui.add_head_html(f"<style>{style()}</style>{HEAD}")
    ui.query("html").props('lang="en"')
    link("to the content", "#main", "skip")
    with box("walk", "nav").props('aria-label="Screens"'):
        for path, name in walk:
            one = link(name, path, "")
            if path == here:
                one.props('aria-current="page"')
    with box("cw", "main").props('id="main"'):
        Words("p", car, "soft")
        Words("h1", title)
        yield
        with box("caution", "aside").props('aria-label="Caution"'):
            Words("p", "A raised car stands on stands, wheels chocked; a compressed spring can kill. " + CAUTION)


def refused(refusal: Refusal) -> None:
    """Say what is wrong, where everybody sees and hears it."""
    with box("plate out").props('role="alert"'):
        for problem in refusal.problems:
            Words("p", str(problem))


def say(words: str) -> None:
    """A short word in passing."""
    ui.notify(words, position="top", close_button="close", multi_line=True)


def when_changed(stamp: Callable[[], object], then: Callable[[], Any | Awaitable[Any]]) -> None:
    """Call when another phone or the papers have changed something."""
    last = [stamp()]

    async def look() -> None:
        try:
            now = stamp()
        except Refusal:
            return  # a server that does not answer for a while: asked again at the next look
        if now != last[0]:
            last[0] = now
            again = then()
            if isinstance(again, Awaitable):
                await again

    ui.timer(POLL, look)


def the_last(work: Callable[[], Awaitable[None]]) -> Callable[[], None]:
    """Asks for the work. While it is at work, however many asks come are one more: none waits for those before it."""
    asked = 0
    busy = False

    async def all_asked() -> None:
        nonlocal busy
        try:
            done = None
            while done != asked:
                done = asked
                await work()
        finally:
            busy = False

    def ask() -> None:
        nonlocal asked, busy
        asked += 1
        if not busy:
            busy = True
            ui.timer(0, all_asked, once=True)

    return ask


def worked_out(
    work: Callable[[], T],
    show: Callable[[T], Any],
    meanwhile: str = "",
    stamp: Callable[[], object] | None = None,
    wanted: Callable[[T], bool] = lambda _: True,
) -> Callable[[], Awaitable[None]]:
    """A place where `show` lays out what `work` answers, or what it refuses. Returns what works it out anew.

    The page does not wait for it: a slow machine must not keep the way on from a finger. meanwhile: words until it is
    there. stamp: another one means working it out anew. wanted: whether an answer is still to be laid out when it
    comes; where not, what is there stays.
    """
    held = box().props('aria-busy="true"')
    if meanwhile:
        with held:
            Words("p", meanwhile, "soft")

    async def anew() -> None:
        found: T | Refusal | None
        held.props('aria-busy="true"')
        try:
            found = await aside(work)
        except Refusal as refusal:
            found = refusal
        if found is None:
            return  # the server is ending
        if isinstance(found, Refusal) or wanted(found):
            held.clear()
            with held:
                refused(found) if isinstance(found, Refusal) else show(found)
        held.props('aria-busy="false"')

    ui.timer(0, anew, once=True)
    if stamp is not None:
        when_changed(stamp, anew)
    return anew
