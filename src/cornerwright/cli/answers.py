"""What a command gives back: a document for programs, a page for people, an exit status."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TextIO

from cornerwright.model.errors import Problem

if TYPE_CHECKING:
    from cornerwright.cli.page import Page


@dataclass(frozen=True)
class Answer:
    """The answer of one command."""

    document: Any
    """A pydantic document, or plain dicts and lists."""
    show: Callable[[Page], None]
    """Lay the answer out for a person."""
    as_json: bool
    status: int = 0

    def give(self, stream: TextIO) -> None:
        """Print it."""
        if self.as_json:
            stream.write(_json(self.document, stream) + "\n")
            return
        from cornerwright.cli.page import Page

        page = Page.for_stream(stream)
        self.show(page)
        page.print()


@dataclass(frozen=True)
class ErrorAnswer:
    """The one shape of every error under --json."""

    problems: tuple[dict[str, Any], ...]

    @classmethod
    def of(cls, problems: Sequence[Problem]) -> ErrorAnswer:
        """From the problems of a refusal."""
        return cls(
            tuple(
                {
                    "file": one.file,
                    "line": one.line,
                    "field": one.field,
                    "found": one.found,
                    "expected": one.expected,
                }
                for one in problems
            )
        )

    def give(self, stream: TextIO) -> None:
        """Print it."""
        stream.write(_json({"error": {"problems": list(self.problems)}}, stream) + "\n")


def _json(document: Any, stream: TextIO) -> str:
    plain = document_as_plain(document)
    spoken = (getattr(stream, "encoding", None) or "utf-8").lower().replace("-", "")
    return json.dumps(plain, indent=2, ensure_ascii=spoken != "utf8", allow_nan=False)


def document_as_plain(document: Any) -> Any:
    """Plain dicts and lists of a pydantic document, keys by alias; not finite becomes null."""
    if hasattr(document, "model_dump_json"):
        return json.loads(document.model_dump_json(by_alias=True))
    if isinstance(document, dict):
        return {key: document_as_plain(value) for key, value in document.items()}
    if isinstance(document, list | tuple):
        return [document_as_plain(value) for value in document]
    return document
