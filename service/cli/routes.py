"""`furrowbell text`: a test text to a phone of one's own, or one from a pretend phone."""

from secrets import token_hex

import click

from gateway_adapters.contract import Accepted, Ambiguous, Gateway, Outgoing, Rejected
from gateway_adapters.segments import split
from service.bootstrap import Services, build
from service.cli.running import plain_refusals, settings_now
from service.errors import RefusedError
from service.outbox.retry import TRIAL_VALID, submit_deadline

TEST_WORDS = "Furrowbell: this is a test. No answer is needed."
DRAIN_S = 5.0


@click.command("text")
@click.option("--to", "to", help="A number of test_numbers, to get a test text by a route.")
@click.option("--route", "route", help="The route of the test text; else the first.")
@click.option("--yes", is_flag=True, help="Send the test text without asking first.")
@click.option("--from", "sender", help="A pretend phone that texts us: only with the fake gateway.")
@click.argument("words", nargs=-1)
def text_command(
    *, to: str | None, route: str | None, yes: bool, sender: str | None, words: tuple[str, ...]
) -> None:
    """Send a test text to a test number, or a text from a pretend phone."""
    with plain_refusals():
        if (to is None) == (sender is None):
            raise RefusedError(
                "text", "Give --to with a test number, or --from with a pretend phone's number."
            )
        if sender is not None:
            _from_pretend_phone(sender, " ".join(words))
        else:
            _to_test_number(str(to), route, " ".join(words) or TEST_WORDS, sure=yes)


def _from_pretend_phone(number: str, text: str) -> None:
    if not text:
        raise RefusedError("text", "Write what the grower texts, such as A1.")
    services = build(settings_now())
    services.pretend_phones().answer(number, text, to=services.settings.route.sender)
    click.echo("Sent. The answer comes with the next step.")


def _to_test_number(number: str, route_name: str | None, text: str, *, sure: bool) -> None:
    settings = settings_now()
    if number not in settings.test_numbers:
        raise RefusedError(
            "to", "A test text only goes to a number that the settings list under test_numbers."
        )
    routes = {route.name: route for route in settings.routes}
    if route_name is not None and route_name not in routes:
        raise RefusedError(
            "route", f"There is no such route; the settings name {', '.join(routes)}."
        )
    route = settings.route if route_name is None else routes[route_name]
    segments = split(text)
    question = (
        f"This sends a text of {len(segments.parts)} segment(s) to a test number by the route"
        f" {route.name}, which may cost money. Send it?"
    )
    if not sure and not click.confirm(question):
        click.echo("Nothing was sent.")
        return
    services = build(settings)
    now = services.clock()
    message = Outgoing(
        token=f"test-{token_hex(8)}",
        to=number,
        sender=route.sender,
        text=text,
        segments=segments,
        valid_until=now + TRIAL_VALID,
    )
    _send(services.gateways[route.name], message, services)


def _send(gateway: Gateway, message: Outgoing, services: Services) -> None:
    (outcome,) = gateway.submit([message], deadline=submit_deadline(services.clock()))
    services.close(drain_s=DRAIN_S)
    match outcome:
        case Accepted():
            click.echo("The gateway took it. Look at the phone.")
        case Rejected():
            click.echo(f"Refused, and not sent: {outcome.detail or outcome.code or outcome.kind}")
            raise click.exceptions.Exit(1)
        case Ambiguous():
            click.echo("No clear answer came: it may have left. Look at the phone before a retry.")
            raise click.exceptions.Exit(1)
