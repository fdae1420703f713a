"""The menu, whatever is typed: it never crashes, never overflows, never writes without a yes."""

from dataclasses import replace

from hypothesis import example, given, settings
from hypothesis import strategies as st

from gateway_adapters.gsm7 import is_gsm7, septet_count
from service.inbound.reply_codes import Meaning
from service.route_settings import USSD_LEAST, USSD_MOST
from service.ussd.facts import Facts, Standing, line_of
from service.ussd.keys import inputs_of
from service.ussd.places import start_of
from service.ussd.state import state_of
from tests.unit.ussd.menus import LONG_ANSWER, Walk, a_home, a_plot, a_voice, facts_of

ASKS = {Meaning.WHY, Meaning.HELP}
LABELS = ("Blue", "Green", "Grey")
LETTERS = "ADGJMPTW"

keys = st.sampled_from([*"0123456789", "", "*1#", "12", "x", "1*1*1*1*1", "٣"])
typed = st.lists(st.one_of(keys, st.text(max_size=6)), max_size=25)


@st.composite
def phones(draw: st.DrawFn) -> tuple[Facts, str, int]:
    """Return what is known of a phone, its language, and the room of its screens."""
    language = draw(st.sampled_from(["en", "sw"]))
    most = draw(st.integers(USSD_LEAST, USSD_MOST))
    count = draw(st.integers(1, 3))
    shared = count > 1
    dealt = iter(LETTERS)
    homes = tuple(
        a_home(
            place + 1,
            *(
                a_plot(
                    next(dealt),
                    crop=None if shared else "sweet-potato",
                    jobs=draw(st.integers(0, 2)),
                )
                for _ in range(draw(st.integers(1, 2)))
            ),
            label=LABELS[place],
            cans=draw(st.integers(0, 3)),
        )
        for place in range(count)
    )
    facts = facts_of(*homes, voice=a_voice(language, most), shared=shared)
    standing = draw(st.sampled_from(Standing))
    if standing is not Standing.MEMBER:
        facts = replace(facts, standing=standing, homes=(), shared=False)
    return replace(facts, may_start=draw(st.booleans())), language, most


@given(phone=phones(), inputs=typed)
@example(phone=(facts_of(), "en", 160), inputs=["1*1*1*1*1", "1", "1"])
@settings(max_examples=150)
def test_whatever_is_typed_keeps_the_rules(
    phone: tuple[Facts, str, int], inputs: list[str]
) -> None:
    facts, language, most = phone
    voice = a_voice(language, most)
    walk = Walk(facts=facts, voice=voice, answers=lambda _report: [LONG_ANSWER])
    yes = voice.words.lines["confirm.yes"]

    for text in inputs:
        if walk.shown.finish:
            break
        before, asked = len(walk.reports), walk.text
        walk.type(*inputs_of(text))
        shown = voice.text(walk.shown.lines)
        assert is_gsm7(shown)
        assert septet_count(shown) <= most
        assert state_of(walk.state.as_json()) == walk.state
        if len(walk.reports) > before and walk.meanings[-1] not in ASKS:
            assert f"1 {yes}" in asked.splitlines()
            assert inputs_of(text)[0] == "1"
        if not walk.shown.finish:
            left = Walk(facts=facts, voice=voice, before=None)
            left.state, left.shown = walk.state, walk.shown
            assert left.type("9").shown.finish


@given(phone=phones(), inputs=typed, later=typed)
@settings(max_examples=100)
def test_whatever_was_typed_before_a_drop_shows_no_home_before_it_is_chosen(
    phone: tuple[Facts, str, int], inputs: list[str], later: list[str]
) -> None:
    facts, language, most = phone
    voice = a_voice(language, most)
    walk = Walk(facts=facts, voice=voice, answers=lambda _report: [LONG_ANSWER])
    for text in inputs:
        if not walk.shown.finish:
            walk.type(*inputs_of(text))

    again = Walk(facts=facts, voice=voice, before=None if walk.shown.finish else walk.state)
    for text in later:
        chosen = again.state.home if facts.shared else start_of(facts).home
        others = [home for home in facts.homes if home.id != chosen] if facts.shared else []
        screen = again.text
        for home in others:
            for plot in home.plots:
                title = voice.words.printed(line_of("plot.title.bare", {"plot": plot.letter}))
                assert title not in screen
                assert f"{plot.letter}1" not in screen
        if again.shown.finish:
            break
        again.type(*inputs_of(text))
