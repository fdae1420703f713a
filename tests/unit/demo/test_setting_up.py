"""The demo's secret key is made once, is for the owner's eyes, and goes with a reset."""

from datetime import UTC, datetime
from pathlib import Path
from stat import S_IMODE

from service.config import load_settings
from service.demo.setting_up import Place

START = datetime(2027, 3, 1, 6, 0, tzinfo=UTC)


def test_the_secret_key_stays_the_same_and_is_written_into_the_settings(tmp_path: Path) -> None:
    place = Place(folder=tmp_path)

    keys = [place.open(start=START).settings.needed_secret_key() for _ in range(2)]
    written = load_settings({"FURROWBELL_SETTINGS": str(tmp_path / "settings.toml")})

    assert len(keys[0]) == 43  # 43 characters of 6 bits hold 256
    assert keys[0] == keys[1] == written.secret_key


def test_only_the_owner_reads_the_files_with_the_key(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").touch(mode=0o644)

    Place(folder=tmp_path).open(start=START)

    for name in ("secret", "settings.toml"):
        assert S_IMODE((tmp_path / name).stat().st_mode) == 0o600


def test_a_reset_removes_the_key_and_the_next_demo_has_another(tmp_path: Path) -> None:
    place = Place(folder=tmp_path)
    first = place.open(start=START).settings.secret_key

    place.reset()

    assert not (tmp_path / "secret").exists()
    assert place.open(start=START).settings.secret_key != first
