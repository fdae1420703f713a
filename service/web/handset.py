"""A pretend handset in the menu: dial, type, hang up, as a grower would.

There only while the fake gateway is, beside the pretend phones; one more handset is of a number
that nobody has enrolled.
"""

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from gateway_adapters.events import UssdEndReason
from service.records.phones import phone_by_number
from service.records.pretend_phones import PretendPhone, pretend_phone
from service.web.form import Form
from service.web.here import here
from service.web.phones import only_while_pretending
from service.web.saving import Done, save_once
from service.web.sentence import Sentence, sentence

page = Blueprint("handset", __name__)
page.before_request(only_while_pretending)

KEYS_MOST = 40
LABELS = {"keys": sentence("What to type")}
Answer = Response | tuple[str, int] | str


@page.get("/phones/<id:phone_id>/handset")
def show(phone_id: int) -> str:
    """Show the menu on one phone."""
    return _show(_phone(phone_id), Form(locale=here().tongue.locale))


@page.post("/phones/<id:phone_id>/handset")
def use(phone_id: int) -> Answer:
    """Dial, type or hang up on one phone."""
    return _use(_phone(phone_id))


@page.get("/phones/handset")
def stranger() -> str:
    """Show the menu on a phone that nobody has enrolled."""
    return _show(_stranger(), Form(locale=here().tongue.locale))


@page.post("/phones/handset")
def use_strangers() -> Answer:
    """Dial, type or hang up on a phone that nobody has enrolled."""
    return _use(_stranger())


def _phone(phone_id: int) -> PretendPhone:
    asked = here()
    with asked.reading() as session:
        return pretend_phone(session, asked.association_id, phone_id)


def _stranger() -> PretendPhone:
    asked = here()
    numbers = sorted(asked.services.settings.test_numbers, reverse=True)
    with asked.reading() as session:
        free = (
            number
            for number in numbers
            if phone_by_number(session, asked.association_id, number) is None
        )
        number = next(free, None)
    if number is None:
        abort(404)
    return PretendPhone(id=0, number=number, language=asked.association.language, aliases=())


def _address(phone: PretendPhone) -> str:
    if phone.id:
        return url_for("handset.show", phone_id=phone.id)
    return url_for("handset.stranger")


def _show(phone: PretendPhone, form: Form) -> str:
    handsets = here().services.pretend_phones().handsets
    dialled = handsets.on(phone.number)
    return render_template(
        "handset/show.html",
        form=form,
        labels=LABELS,
        phone=phone,
        address=_address(phone),
        screen=handsets.screen(phone.number),
        open=dialled is not None and not dialled.over,
    )


def _use(phone: PretendPhone) -> Answer:
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _show(phone, form)
    answer = save_once(form, lambda _session: _pressed(phone, form))
    if answer is None:
        return _show(phone, form), 422
    here().services.step()
    return answer


def _pressed(phone: PretendPhone, form: Form) -> Done | None:
    said = _PRESSES.get(form.value("press"), _typed)(phone, form)
    return None if said is None else Done(location=_address(phone), said=said)


def _dialled(phone: PretendPhone, _form: Form) -> Sentence:
    here().services.pretend_phones().handsets.dial(phone.number)
    return sentence("The menu was dialled.")


def _hung_up(phone: PretendPhone, _form: Form) -> Sentence:
    here().services.pretend_phones().handsets.hang_up(phone.number)
    return sentence("The phone was hung up.")


def _dropped(phone: PretendPhone, _form: Form) -> Sentence:
    handsets = here().services.pretend_phones().handsets
    handsets.hang_up(phone.number, reason=UssdEndReason.NETWORK)
    return sentence("The line dropped. Dial again within 5 minutes to go on.")


def _typed(phone: PretendPhone, form: Form) -> Sentence | None:
    keys = form.text_or_blank("keys", most=KEYS_MOST)
    if keys is None:
        return None
    try:
        here().services.pretend_phones().handsets.press(phone.number, keys)
    except LookupError:
        form.refuse("keys", sentence("No menu is open on this phone: dial it first."))
        return None
    return sentence("Sent.")


_PRESSES = {"dial": _dialled, "hang-up": _hung_up, "drop": _dropped}
