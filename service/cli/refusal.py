"""A command that refuses in one plain sentence, for people and for programs alike."""

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import click
from typing_extensions import override

from service.errors import RefusedError

REFUSED_STATUS = 2
_WANTS_JSON = "service.cli.refusal.wants_json"


class RefusingCommand(click.Command):
    """A command whose refusals and usage errors exit 2 with one sentence on standard error.

    With `--format json` among the arguments, standard output carries
    `{"refused": code, "message": sentence}`; a usage error has the code `usage`.
    """

    @override
    def make_context(
        self,
        info_name: str | None,
        args: list[str],
        parent: click.Context | None = None,
        **extra: Any,
    ) -> click.Context:
        wants_json = _wants_json(args)
        with _refusing(as_json=wants_json):
            ctx = super().make_context(info_name, args, parent, **extra)
        ctx.meta[_WANTS_JSON] = wants_json
        return ctx

    @override
    def invoke(self, ctx: click.Context) -> Any:
        with _refusing(as_json=ctx.meta[_WANTS_JSON]):
            return super().invoke(ctx)


@contextmanager
def _refusing(*, as_json: bool) -> Iterator[None]:
    try:
        yield
    except click.UsageError as error:
        code, sentence = "usage", " ".join(error.format_message().split())
    except RefusedError as error:
        code, sentence = error.code, error.sentence
    else:
        return
    if as_json:
        click.echo(json.dumps({"refused": code, "message": sentence}, ensure_ascii=False))
    click.echo(sentence, err=True)
    raise click.exceptions.Exit(REFUSED_STATUS)


def _wants_json(args: Sequence[str]) -> bool:
    chosen = ""
    for place, arg in enumerate(args):
        if arg == "--format":
            chosen = "".join(args[place + 1 : place + 2])
        elif arg.startswith("--format="):
            chosen = arg.removeprefix("--format=")
    return chosen == "json"
