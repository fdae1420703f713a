"""Texts as growers read them."""

import pytest

from gateway_adapters.segments import split
from service.messages.catalogue import Catalogue
from service.messages.filling import Values, Wording
from service.messages.printing import ValueRefusedError
from service.messages.render import Reader, digest_fits, render
from service.messages.worst import worst_jobs

ENGLISH = Reader(language="en", fallback="en")
SWAHILI = Reader(language="sw", fallback="en")
SHARED = Reader(language="en", fallback="en", wording=Wording(shared=True))

DOSE: Values = {
    "day": "2027-03-28",
    "crop": "maize-grain",
    "plot": "A",
    "urine": 6,
    "water": 18.0,
    "per": {"cups": 2, "plants": 5},
    "tip": 1,
    "code": "A1",
    "can": None,
}


def test_a_dose_in_english(catalogue: Catalogue) -> None:
    assert render(catalogue, "dose", DOSE, reader=ENGLISH).text == (
        "Sun 28 Mar: maize, plot A. 6 L urine + 18 L water, 2 cups/5 plants. In furrow, not on "
        "leaves; cover. 10-20 cm from seed. Done? Reply A1"
    )


def test_a_dose_in_swahili(catalogue: Catalogue) -> None:
    assert render(catalogue, "dose", DOSE, reader=SWAHILI).text == (
        "Jumapili 28 Mac: mahindi (A). L 6 mkojo + L 18 maji, vikombe 2/mimea 5. Mferejini, si "
        "majani; funika. Sm 10-20 toka mbegu. Tayari? Jibu A1"
    )


@pytest.mark.parametrize(
    ("wording", "expected"),
    [
        pytest.param(Wording(), "6 L urine + 18", id="plain"),
        pytest.param(Wording(discreet=True), "6 L garden mix + 18", id="neutral"),
        pytest.param(Wording(what="rutubisho"), "6 L rutubisho + 18", id="own word"),
        pytest.param(Wording(what="own", discreet=True), "6 L own + 18", id="own word first"),
        pytest.param(Wording(shared=True), "6 L from the can + 18", id="shared"),
        pytest.param(Wording(shared=True, what="own"), "6 L from the can + 18", id="shared first"),
    ],
)
def test_the_substance_is_called_as_the_household_wants(
    catalogue: Catalogue, wording: Wording, expected: str
) -> None:
    reader = Reader(language="en", fallback="en", wording=wording)

    assert expected in render(catalogue, "dose", DOSE, reader=reader).text


@pytest.mark.parametrize(
    ("kind", "reader", "expected"),
    [
        pytest.param("dose", ENGLISH, "cover. From can 2. Done?", id="in place of the tip"),
        pytest.param("dose", SHARED, "6 L from can 2 + 18 L water", id="shared"),
        pytest.param("dose_assumed", ENGLISH, "6 L urine from can 2 + 18", id="assumed"),
        pytest.param("dose_assumed", SHARED, "6 L from can 2 + 18", id="assumed, shared"),
    ],
)
def test_the_can_is_named_when_several_are_in_use(
    catalogue: Catalogue, kind: str, reader: Reader, expected: str
) -> None:
    assert expected in render(catalogue, kind, {**DOSE, "can": [2]}, reader=reader).text


@pytest.mark.parametrize(
    ("dose", "soap"), [(2, False), (3, True), (4, False), (5, True), (7, True)]
)
def test_the_tip_follows_the_dose_digit(catalogue: Catalogue, dose: int, *, soap: bool) -> None:
    """Soap at doses 3, 5 and 7: common practice for this service, no source."""
    text = render(catalogue, "dose", {**DOSE, "tip": dose}, reader=ENGLISH).text

    assert ("Wash hands with soap." in text) is soap


def test_in_the_rains_the_sixth_tip_is_about_rain(catalogue: Catalogue) -> None:
    values = {**DOSE, "tip": 6}

    assert "Not before heavy rain." in render(catalogue, "dose_rain", values, reader=ENGLISH).text
    assert "10-20 cm from stems." in render(catalogue, "dose", values, reader=ENGLISH).text


@pytest.mark.parametrize(
    ("litres", "printed"),
    [
        pytest.param(6, "6 L", id="whole"),
        pytest.param(6.0, "6 L", id="whole float"),
        pytest.param(37.5, "37.5 L", id="half"),
        pytest.param(0.25, "0.25 L", id="quarter"),
        pytest.param(2.999, "2.99 L", id="cut, not rounded up"),
        pytest.param(0.1 + 0.2, "0.3 L", id="float noise above"),
        pytest.param(1.1 * 3 - 0.3, "3 L", id="float noise"),
        pytest.param(1200, "1200 L", id="no sign between thousands"),
    ],
)
def test_litres_are_never_printed_above_the_plan(
    catalogue: Catalogue, litres: float, printed: str
) -> None:
    text = render(catalogue, "dose", {**DOSE, "urine": litres}, reader=ENGLISH).text

    assert f"plot A. {printed} urine" in text


@pytest.mark.parametrize(
    ("pace", "printed"),
    [
        pytest.param(None, "spread evenly", id="no measure fits"),
        pytest.param({"cups": 1, "plants": 1}, "1 cup/plant", id="one to one"),
        pytest.param({"cups": 1, "plants": 4}, "1 cup/4 plants", id="one to many"),
        pytest.param({"cups": 3, "plants": 1}, "3 cups/plant", id="many to one"),
        pytest.param({"caps": 2, "paces": 3}, "2 caps/3 paces", id="caps along the row"),
    ],
)
def test_the_pace_is_told_in_the_growers_measure(
    catalogue: Catalogue, pace: object, printed: str
) -> None:
    text = render(catalogue, "dose", {**DOSE, "per": pace}, reader=ENGLISH).text

    assert f"water, {printed}. In furrow" in text


def test_a_shared_phone_gets_one_digest_home_by_home(catalogue: Catalogue) -> None:
    jobs = [
        {"label": "Home 1", "code": "A3", "urine": 6, "water": 18},
        {"label": "Home 2", "code": "G1", "urine": 3, "water": 9},
        {"label": "Home 1", "code": "D2", "urine": 2.5, "water": 7.5},
    ]

    text = render(
        catalogue, "digest", {"day": "2027-03-28", "jobs": jobs, "can": None}, reader=SHARED
    ).text

    assert text == (
        "Sun 28 Mar, L from the can + L water. Home 1: A3 6+18, D2 2.5+7.5. Home 2: G1 3+9. "
        "Furrow, not leaves; cover. Wash hands. Reply codes."
    )


@pytest.mark.parametrize(
    ("count", "homes", "parts"),
    [
        pytest.param(3, 2, 1, id="three jobs of two homes"),
        pytest.param(8, 8, 2, id="eight jobs of eight homes"),
    ],
)
@pytest.mark.parametrize("language", ["en", "sw"])
def test_eight_of_the_longest_jobs_fit_into_two_segments(
    catalogue: Catalogue, language: str, count: int, homes: int, parts: int
) -> None:
    reader = Reader(language=language, fallback="en", wording=Wording(shared=True))
    values: Values = {"day": "2027-01-11", "jobs": worst_jobs(count, homes=homes), "can": [12]}

    text = render(catalogue, "digest", values, reader=reader).text

    assert len(split(text).parts) == parts
    assert digest_fits(catalogue, values, reader=reader) == count


def test_jobs_that_do_not_fit_are_left_for_the_call_list(catalogue: Catalogue) -> None:
    eight = worst_jobs(8, homes=8)
    nine = [*eight, {**eight[0], "code": "A4"}]
    long = [{**job, "label": "a home with a long name"} for job in eight]
    apart = [{**job, "label": f"a home with a long name {job['code']}"} for job in long]
    values: Values = {"day": "2027-01-11", "can": None}

    assert digest_fits(catalogue, {**values, "jobs": nine}, reader=SHARED) == 8
    assert digest_fits(catalogue, {**values, "jobs": apart}, reader=SHARED) == 5


@pytest.mark.parametrize(
    ("plots", "reader", "expected"),
    [
        pytest.param([("A", "kale")], ENGLISH, "Plots: A kale.", id="one"),
        pytest.param(
            [("A", "maize-grain"), ("D", "kale")], ENGLISH, "Plots: A maize, D kale.", id="two"
        ),
        pytest.param(
            [("A", "sweet-potato"), ("D", "pearl-millet"), ("G", "eggplant")],
            ENGLISH,
            "Plots: A, D, G.",
            id="letters where crops do not fit",
        ),
        pytest.param([("A", "kale"), ("D", "okra")], SHARED, "Plots: A, D.", id="shared"),
        pytest.param([("A", "kale"), ("D", None)], ENGLISH, "Plots: A, D.", id="no crop yet"),
    ],
)
def test_the_welcome_lists_the_plots(
    catalogue: Catalogue, plots: list[tuple[str, str | None]], reader: Reader, expected: str
) -> None:
    rows = [{"plot": letter, "crop": crop} for letter, crop in plots]
    values: Values = {"group": "Growers", "plots": rows, "phone": "+255100000001"}

    assert expected in render(catalogue, "welcome", values, reader=reader).text


@pytest.mark.parametrize(
    ("kind", "values", "expected"),
    [
        pytest.param(
            "consent", {"group": "Growers", "cost": "free"}, "Replies are free. Reply", id="free"
        ),
        pytest.param(
            "consent", {"group": "Growers", "cost": "You pay."}, "You pay. Reply", id="own sentence"
        ),
        pytest.param(
            "r_up", {"plot": "A", "day": "2027-03-22", "next": None}, "when there is", id="no next"
        ),
        pytest.param(
            "sealed",
            {"n": 3, "day": "2027-03-22", "wait": 183, "ready": None},
            "A person will tell you when it is ready.",
            id="ready day not known",
        ),
        pytest.param("rain_hold", {"codes": ["A3", "D2"]}, "Hold A3, D2;", id="several codes"),
    ],
)
def test_other_values_print_as_expected(
    catalogue: Catalogue, kind: str, values: Values, expected: str
) -> None:
    assert expected in render(catalogue, kind, values, reader=ENGLISH).text


def test_a_name_with_foreign_accents_keeps_the_text_in_the_small_alphabet(
    catalogue: Catalogue,
) -> None:
    values: Values = {"group": "Associação Pão", "phone": "+255100000001"}

    text = render(catalogue, "stop_ok", values, reader=ENGLISH).text

    assert "from Associacao Pao." in text
    assert len(split(text).parts) == 1


def test_the_language_in_which_the_text_went_is_told(catalogue: Catalogue) -> None:
    reader = Reader(language="xx", fallback="sw")

    assert render(catalogue, "unread", {}, reader=reader).language == "sw"


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        pytest.param({"day": None}, "dose, field day", id="no day"),
        pytest.param({"day": "28 March"}, "dose, field day", id="day in words"),
        pytest.param({"urine": "6"}, "dose, field urine", id="litres as text"),
        pytest.param({"urine": -1}, "dose, field urine", id="less than none"),
        pytest.param({"water": True}, "dose, field water", id="litres as a truth"),
        pytest.param({"crop": "teak"}, "dose, field crop", id="unknown crop"),
        pytest.param({"tip": 10}, "dose, field tip", id="no such dose digit"),
        pytest.param({"tip": 1.5}, "dose, field tip", id="half a dose digit"),
        pytest.param({"per": {"cups": 1}}, "dose, field per", id="half a pace"),
        pytest.param({"per": {"cups": 1, "caps": 2}}, "dose, field per", id="pace of two measures"),
        pytest.param({"plot": " "}, "dose, field plot", id="blank letter"),
    ],
)
def test_a_value_of_the_wrong_shape_is_named(
    catalogue: Catalogue, change: dict[str, object], fault: str
) -> None:
    with pytest.raises(ValueRefusedError, match=fault):
        render(catalogue, "dose", {**DOSE, **change}, reader=ENGLISH)


def test_a_missing_value_is_named(catalogue: Catalogue) -> None:
    values = {field: value for field, value in DOSE.items() if field != "urine"}

    with pytest.raises(ValueRefusedError, match="dose needs a value for urine"):
        render(catalogue, "dose", values, reader=ENGLISH)


@pytest.mark.parametrize(
    "jobs",
    [
        pytest.param([], id="none"),
        pytest.param("A3", id="a text"),
        pytest.param(["A3"], id="rows without names"),
        pytest.param([{"label": None, "code": "A3", "urine": 6}], id="no water"),
    ],
)
def test_jobs_of_the_wrong_shape_are_refused(catalogue: Catalogue, jobs: object) -> None:
    values: Values = {"day": "2027-03-28", "jobs": jobs, "can": None}

    with pytest.raises(ValueRefusedError, match="digest, field jobs"):
        render(catalogue, "digest", values, reader=ENGLISH)


def test_a_job_too_long_for_any_text_is_left_to_a_call(catalogue: Catalogue) -> None:
    job = {"label": "home " * 60, "code": "A3", "urine": 6, "water": 18}
    values: Values = {"day": "2027-03-28", "jobs": [job], "can": None}

    assert digest_fits(catalogue, values, reader=SHARED) == 0


def test_only_a_list_of_jobs_can_be_fitted(catalogue: Catalogue) -> None:
    with pytest.raises(TypeError, match="jobs of a digest are a list"):
        digest_fits(catalogue, {"day": "2027-03-28", "jobs": None}, reader=SHARED)


@pytest.mark.parametrize("plots", [pytest.param(None, id="none"), pytest.param(["A"], id="no row")])
def test_plots_of_the_wrong_shape_are_refused_on_a_shared_phone_too(
    catalogue: Catalogue, plots: object
) -> None:
    values: Values = {"group": "Growers", "plots": plots, "phone": "+255100000001"}

    with pytest.raises(ValueRefusedError, match="welcome, field plots"):
        render(catalogue, "welcome", values, reader=SHARED)


def test_a_digest_in_the_rains_speaks_of_no_water(catalogue: Catalogue) -> None:
    jobs = [
        {"label": None, "code": "A3", "urine": 6, "water": None},
        {"label": None, "code": "D2", "urine": 3.5, "water": None, "unsure": True},
    ]

    text = render(
        catalogue, "digest_rain", {"day": "2027-03-28", "jobs": jobs, "can": None}, reader=ENGLISH
    ).text

    assert text == (
        "Sun 28 Mar, L urine, no water. A3 6, D2 3.5 if up. In furrow, not on leaves; cover. "
        "Wash hands. Reply codes done."
    )


def test_a_job_for_plants_that_may_not_be_up_says_so(catalogue: Catalogue) -> None:
    jobs = [
        {"label": None, "code": "A3", "urine": 6, "water": 18},
        {"label": None, "code": "D2", "urine": 3, "water": 9, "unsure": True},
    ]

    text = render(
        catalogue, "digest", {"day": "2027-03-28", "jobs": jobs, "can": None}, reader=ENGLISH
    ).text

    assert "A3 6+18, D2 3+9 if up." in text
