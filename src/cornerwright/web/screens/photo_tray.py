"""Photos on their way to an entry: taken by the phone's camera, cleaned, shown, and held until the entry is written."""

from __future__ import annotations

import base64
import re
import secrets
from weakref import WeakValueDictionary

from fastapi import Request, Response
from nicegui import app, ui
from starlette.datastructures import UploadFile

from cornerwright.model.errors import Refusal
from cornerwright.web.screens.frame import Words, aside, box, refused
from cornerwright.web.snapshots import MOST_BYTES, clean_photo

MOST_PHOTOS = 6
"""Photos of one entry from one form."""
PATH = re.compile(r"[/\\\x00]|\.\.")
"""What makes a name a path. No name is ever used here; one that tries to be a path is refused all the same."""

_TRAYS: WeakValueDictionary[str, PhotoTray] = WeakValueDictionary()
"""Those on open pages."""


class PhotoTray:
    """A button for the camera, and the photos that were taken by it."""

    def __init__(self, photos: list[bytes]) -> None:
        """photos: the list that each photo is put into, cleaned."""
        self.photos = photos
        token = secrets.token_hex(16)
        _TRAYS[token] = self
        with box("tap file", "label"):
            Words("span", "Add a photo")
            one = ui.element("input").props('type="file" accept="image/*" capture="environment" multiple')
            one.props["aria-label"] = "Add a photo"
        self.told, self.shown = box(), box("row")
        most = f"{MOST_BYTES},'more than {MOST_BYTES // 1024**2} MB'"
        # The page holds this tray by its listener, and lets it go with it.
        one.on("change", self._failed, js_handler=f"(e) => cwPhotos(e.target,'/photo-in/{token}',{most},emit)")

    def _failed(self, event: object) -> None:
        says = str(getattr(event, "args", "") or "")[:120]
        self._refused(
            Refusal.of(f"a file that was not taken: {says}", f"a photo of at most {MOST_BYTES // 1024**2} MB")
        )

    def _refused(self, refusal: Refusal) -> None:
        self.told.clear()
        with self.told:
            refused(refusal)

    async def take(self, name: str, content: bytes) -> None:
        """A file that was sent: held as a photo, or refused with words."""
        try:
            if PATH.search(name):
                raise Refusal.of("a file with a path in its name", "a photo under a plain name")
            if len(self.photos) >= MOST_PHOTOS:
                raise Refusal.of("more photos", f"at most {MOST_PHOTOS} with one entry")
            cleaned = await aside(clean_photo, content)
        except Refusal as refusal:
            self._refused(refusal)
            return
        self.told.clear()
        self.photos.append(cleaned)
        with self.shown:
            source = f"data:image/jpeg;base64,{base64.b64encode(cleaned).decode()}"
            box("thumb", "img").props(f'src="{source}" alt="photo {len(self.photos)}, to be written"')


def register() -> None:
    """Where photos are sent."""

    @app.post("/photo-in/{token}")
    async def photo_in(token: str, request: Request) -> Response:
        tray = _TRAYS.get(token)
        if tray is None:
            return Response(status_code=404)
        async with request.form(max_files=1, max_fields=1) as sent:
            for one in sent.values():
                if isinstance(one, UploadFile):
                    await tray.take(one.filename or "", await one.read())
        return Response(status_code=204)
