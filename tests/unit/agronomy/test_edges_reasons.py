"""Subjects of reasons, and the steps of an explanation."""

from service.agronomy.reasons import About, Explanation, RuleId, Subject, told


def test_a_subject_is_one_word_with_or_without_a_number() -> None:
    assert Subject(about=About.FIRST_HARVEST).key == "first-harvest"
    assert Subject(about=About.DOSE_DAY, number=3).key == "dose-3-day"
    assert Subject(about=About.CAUTION, number=0).key == "caution-0"


def test_steps_come_with_their_subjects_in_order() -> None:
    first, second = told(RuleId.AREA_TOLD, area_m2=100), told(RuleId.GIVEN)
    area, day = Subject(about=About.AREA), Subject(about=About.DOSE_DAY, number=1)

    found = Explanation(chains={area: (first,), day: (second, first)})

    assert list(found.steps()) == [(area, first), (day, second), (day, first)]
    assert found.of(About.DOSE_DAY, 1) == (second, first)
    assert found.of(About.DOSE_DAY, 2) == ()
