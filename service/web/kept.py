"""What was typed in a form that could not be taken yet: carried on until it can.

The values travel in the page itself, hidden, so that nothing of an unknown visitor is stored.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Self

from flask import current_app, render_template, request
from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import HTTPException
from werkzeug.routing import RequestRedirect

CARRIED, PATH = "kept:", "kept_path"
_DROPPED = ("csrf_token", "resume")


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """The page that a form was meant for, and what was typed in it."""

    path: str = ""
    values: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of_request(cls) -> Self:
        """Return what this request's form holds."""
        return cls(
            path=request.path,
            values={name: value for name, value in request.form.items() if name not in _DROPPED},
        )

    @classmethod
    def carried(cls, sent: MultiDict[str, str]) -> Self:
        """Return what a sign-in form carries along; a path that takes no form is dropped."""
        path = sent.get(PATH, "")
        if not _takes_forms(path):
            return cls()
        return cls(
            path=path,
            values={
                name.removeprefix(CARRIED): value
                for name, value in sent.items()
                if name.startswith(CARRIED)
            },
        )

    @property
    def hidden(self) -> dict[str, str]:
        """Return the hidden fields with which a sign-in form carries this along."""
        if not self.path:
            return {}
        return {PATH: self.path} | {CARRIED + name: value for name, value in self.values.items()}


def kept_form(reason: str, *, status: int) -> tuple[str, int]:
    """Return the page that keeps this request's form, and goes on with it."""
    return render_template("kept.html", kept=Kept.of_request(), reason=reason), status


def _takes_forms(path: str) -> bool:
    if not path.startswith("/") or path.startswith("//"):
        return False
    try:
        current_app.url_map.bind("").match(path, method="POST")
    except (HTTPException, RequestRedirect):
        return False
    return True
