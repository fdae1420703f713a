"""Which part a report is about, though references come round again after 256."""

from gateway_adapters.serial_modem.incoming_pdu import StatusReport
from gateway_adapters.serial_modem.records import (
    Ended,
    Left,
    Record,
    Refused,
    Taken,
    read_record,
    record_line,
)
from gateway_adapters.serial_modem.sent_book import SentBook, is_same_number
from tests.outgoing import OTHER_PHONE, PHONE

HOUR = 3600.0


def left(
    part_id: str, *, to: str = PHONE, at: float = 0.0, number: int = 1, total: int = 1
) -> Left:
    """Return the leaving of a part; its text is what stands before the stroke."""
    turn = part_id.partition("/")[0]
    return Left(id=part_id, turn=turn, token=turn, to=to, number=number, total=total, at=at)


def taken(part_id: str, reference: int) -> Taken:
    return Taken(id=part_id, reference=reference)


def report(reference: int, to: str = PHONE) -> StatusReport:
    return StatusReport(reference=reference, to=to, status=0, sent_at=None, done_at=None)


def a_book(*records: Record) -> SentBook:
    book = SentBook()
    for record in records:
        book.apply(record)
    return book


def found(
    book: SentBook, about: StatusReport, *, digest: str = "d", now: float = HOUR
) -> str | None:
    part = book.find(about, digest=digest, now=now)
    return None if part is None else part.id


def test_a_report_finds_the_newest_part_with_its_reference_and_number() -> None:
    book = a_book(
        left("a"),
        taken("a", 7),
        left("b", to=OTHER_PHONE),
        taken("b", 7),
        left("c"),
        taken("c", 7),
    )

    assert found(book, report(7)) == "c"
    assert found(book, report(7, OTHER_PHONE)) == "b"
    assert found(book, report(8)) is None


def test_a_part_whose_end_is_told_is_found_only_by_the_same_report() -> None:
    book = a_book(left("a"), taken("a", 7), left("b"), taken("b", 7), Ended(id="b", report="of b"))

    assert found(book, report(7), digest="of b") == "b"
    assert found(book, report(7), digest="of a") == "a"


def test_after_48_hours_a_part_is_found_no_more() -> None:
    book = a_book(left("a"), taken("a", 7))

    assert found(book, report(7), now=48 * HOUR - 1) == "a"
    assert found(book, report(7), now=48 * HOUR) is None


def test_old_parts_are_forgotten_when_another_one_leaves() -> None:
    book = a_book(left("a"), taken("a", 7), left("b", at=49 * HOUR))

    assert book.records() == [left("b", at=49 * HOUR)]


def test_a_doubtful_part_is_found_if_it_is_the_only_one_it_can_be() -> None:
    assert found(a_book(left("a")), report(200)) == "a"
    assert found(a_book(left("a"), left("b")), report(200)) is None
    assert found(a_book(left("a"), left("b", to=OTHER_PHONE)), report(200)) == "a"


def test_a_doubtful_part_can_only_have_a_reference_behind_the_last_one_told() -> None:
    book = a_book(left("a"), taken("a", 254), left("b"), Refused(id="b"), left("c"))

    assert found(book, report(255)) == "c"
    assert found(book, report(0)) == "c"
    assert found(book, report(1)) is None
    assert found(book, report(98)) is None


def test_a_doubtful_part_can_only_have_a_reference_before_the_next_one_told() -> None:
    """Without it, a report that a network got wrong would make a lost text a delivered one."""
    book = a_book(left("a"), left("b", to=OTHER_PHONE), Refused(id="b"), left("c"), taken("c", 1))

    assert found(book, report(0)) == "a"
    assert found(book, report(255)) == "a"
    assert found(book, report(254)) is None
    assert found(book, report(101)) is None
    assert found(book, report(1)) == "c"


def test_a_doubt_that_was_repaired_late_does_not_bound_what_left_after_it() -> None:
    book = a_book(left("a"), left("b", to=OTHER_PHONE), taken("a", 9), left("c"))

    assert found(book, report(200)) == "c"


def test_a_modem_that_was_away_may_count_anew() -> None:
    book = a_book(left("a"), taken("a", 254))
    book.forget_references()
    book.apply(left("b"))

    assert found(book, report(17)) == "b"


def test_a_text_is_whole_once_all_its_parts_are_taken() -> None:
    book = a_book(left("t/1", number=1, total=2), taken("t/1", 1), left("t/2", number=2, total=2))

    assert book.whole("t") == ()
    book.apply(taken("t/2", 2))
    assert book.whole("t") == ("t/1", "t/2")
    assert book.whole("other") == ()


def test_a_refused_part_is_on_no_phone_and_counts_for_nothing() -> None:
    book = a_book(left("a", at=1), left("b", at=2), Refused(id="a"))

    assert book.left_since(0) == [2]
    assert found(book, report(3)) == "b"


def test_what_is_about_an_unknown_part_changes_nothing() -> None:
    book = a_book(taken("a", 1), Refused(id="a"), Ended(id="a", report="x"))

    assert book.records() == []


def test_a_number_in_its_national_form_is_the_same() -> None:
    """Common practice of networks, no source."""
    assert is_same_number("+255100000001", "+255100000001")
    assert is_same_number("+255100000001", "0100000001")
    assert not is_same_number("+255100000001", "0100000002")
    assert not is_same_number("+255100000001", "+254100000001")
    assert not is_same_number("+255100000001", "00001")
    assert not is_same_number("+255100000001", "")


def test_a_book_is_the_same_when_it_is_read_again() -> None:
    book = a_book(
        left("a", at=1), taken("a", 7), left("b", at=2), Ended(id="a", report="r"), left("c", at=3)
    )
    lines = [record_line(record) for record in book.records()]

    again = a_book(*(record for line in lines if (record := read_record(line)) is not None))

    assert again.records() == book.records()
    assert all(line.count("\n") == 1 and line.endswith("\n") for line in lines)


def test_a_torn_line_says_nothing() -> None:
    whole = record_line(taken("a", 7))

    assert read_record(whole) == taken("a", 7)
    for size in range(len(whole) - 2):
        assert read_record(whole[:size]) is None
    for line in ("[]", "7", '{"what": "taken"}', '{"what": []}', '{"id": "a"}'):
        assert read_record(line) is None
