"""What is kept on disk over a restart."""

import stat
from pathlib import Path

from gateway_adapters.serial_modem.journal import Journal
from gateway_adapters.serial_modem.records import Left, Taken
from tests.outgoing import PHONE

LEFT = Left(
    id="a-1",
    turn="a",
    token="m1",  # noqa: S106 -- a message's id
    to=PHONE,
    number=1,
    total=1,
    at=5.0,
)
TAKEN = Taken(id="a-1", reference=7)


def test_what_was_written_is_read_by_the_next_one(tmp_path: Path) -> None:
    folder = tmp_path / "modem"
    first = Journal(folder)
    first.add(LEFT)
    first.add(TAKEN)

    assert Journal(folder).read() == [LEFT, TAKEN]
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert {stat.S_IMODE(file.stat().st_mode) for file in folder.iterdir()} == {0o600}


def test_a_torn_last_line_costs_only_itself(tmp_path: Path) -> None:
    Journal(tmp_path).add(LEFT)
    with (tmp_path / "sent.jsonl").open("a") as file:
        file.write('{"what": "tak')

    assert Journal(tmp_path).read() == [LEFT]


def test_rewriting_leaves_only_what_is_given(tmp_path: Path) -> None:
    journal = Journal(tmp_path)
    journal.add(LEFT)
    journal.rewrite([TAKEN])

    assert Journal(tmp_path).read() == [TAKEN]
    assert [file.name for file in tmp_path.iterdir()] == ["sent.jsonl"]


def test_without_a_folder_nothing_is_kept_and_no_pin_is_tried() -> None:
    journal = Journal(None)
    journal.add(LEFT)
    journal.rewrite([LEFT])

    assert journal.read() == []
    assert journal.is_writable
    assert not journal.may_try("1234")


def test_a_folder_that_cannot_be_made_is_noticed_and_stops_nothing(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    journal = Journal(tmp_path / "file" / "modem")
    journal.add(LEFT)

    assert not journal.is_writable
    assert journal.read() == []
    assert not journal.may_try("1234")


def test_a_folder_that_is_mended_is_noticed_too(tmp_path: Path) -> None:
    way = tmp_path / "modem"
    way.write_text("in the way")
    journal = Journal(way)
    journal.add(LEFT)
    way.unlink()
    journal.add(LEFT)

    assert journal.is_writable


def test_a_pin_is_tried_once_and_another_one_may_be(tmp_path: Path) -> None:
    assert Journal(tmp_path).may_try("1234")
    assert not Journal(tmp_path).may_try("1234")
    assert Journal(tmp_path).may_try("5678")
    assert not Journal(tmp_path).may_try("5678")
    assert not Journal(tmp_path).may_try("1234")


def test_a_pin_that_was_right_may_be_used_again(tmp_path: Path) -> None:
    journal = Journal(tmp_path)
    journal.may_try("1234")
    journal.pin_was_right()

    assert Journal(tmp_path).may_try("1234")


def test_a_refused_pin_cannot_be_read_from_the_disk(tmp_path: Path) -> None:
    Journal(tmp_path).may_try("13579246")

    assert all(b"13579246" not in file.read_bytes() for file in tmp_path.iterdir())
