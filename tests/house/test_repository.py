"""What may lie in the repository, and what may be written in it."""

from pathlib import Path

import pytest

from tests.house import repository
from tests.house.repository import FORBIDDEN, ROOT, TOP_LEVEL


@pytest.fixture
def clone(tmp_path: Path) -> Path:
    """Give an empty repository with the right names at its top."""
    (tmp_path / ".gitignore").write_text("# made by tools\n.venv/\n.venv-*/\n*.egg-info/\n")
    for name in TOP_LEVEL:
        if "." in name or name.isupper():
            (tmp_path / name).write_text("words\n")
        else:
            (tmp_path / name).mkdir()
            (tmp_path / name / "a.py").write_text("x = 1\n")
    return tmp_path


def test_no_file_of_the_project_ties_it_to_a_machine_or_a_host() -> None:
    assert repository.forbidden_words(ROOT) == []


def test_the_top_level_of_the_project_is_as_agreed() -> None:
    assert repository.top_level_faults(ROOT) == []


@pytest.mark.parametrize("word", FORBIDDEN)
def test_a_forbidden_word_is_named_with_its_file(clone: Path, word: str) -> None:
    (clone / "deploy" / "notes.txt").write_text(f"see {word.upper()} for more\n")

    assert repository.forbidden_words(clone) == [f"deploy/notes.txt holds {word!r}; take it out."]


def test_an_ignored_folder_is_not_read(clone: Path) -> None:
    (clone / ".venv-tests").mkdir()
    (clone / ".venv-tests" / "a.txt").write_text(FORBIDDEN[0])
    (clone / "extra.egg-info").mkdir()
    (clone / "extra.egg-info" / "a.txt").write_text(FORBIDDEN[0])

    assert repository.forbidden_words(clone) == []
    assert repository.top_level_faults(clone) == []


def test_a_stray_name_at_the_top_is_named(clone: Path) -> None:
    (clone / "scratch.py").write_text("x = 1\n")

    assert repository.top_level_faults(clone) == ["scratch.py stands at the top level; move it."]


def test_a_missing_name_at_the_top_is_named(clone: Path) -> None:
    (clone / "LICENSE").unlink()

    assert repository.top_level_faults(clone) == ["LICENSE is missing from the top level."]


def test_a_dotfile_may_stand_at_the_top(clone: Path) -> None:
    (clone / ".editorconfig").write_text("root = true\n")

    assert repository.top_level_faults(clone) == []


@pytest.mark.parametrize("line", ["docs/build", "!keep.py"])
def test_an_ignore_line_that_cannot_be_followed_is_refused(line: str) -> None:
    with pytest.raises(ValueError, match=r"plain names"):
        repository.ignored_patterns(f".venv/\n{line}\n")


def test_python_files_are_found_in_the_folders_asked_for(clone: Path) -> None:
    (clone / "service" / "notes.txt").write_text("words\n")

    found = repository.python_files(clone, "service", "tests")

    assert found == [clone / "service" / "a.py", clone / "tests" / "a.py"]
