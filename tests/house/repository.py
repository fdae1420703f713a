"""The files that belong to the repository, and rules about them as a whole."""

from collections.abc import Iterator
from fnmatch import fnmatchcase
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

TOP_LEVEL = frozenset(
    {
        "DEVELOPERS.md",
        "LICENSE",
        "README.md",
        "deploy",
        "gateway_adapters",
        "locales",
        "pyproject.toml",
        "service",
        "tests",
    }
)

# Written backwards, so that this file passes its own check.
FORBIDDEN = tuple(
    word[::-1]
    for word in (
        "/krow/",
        "/toor/",
        "/emoh/",
        "/sboj_hsab/pmt/",
        "gro.ipyp",
        "gro.detsohnohtyp",
        "gro.smjpn",
        "gro.gnalog.yxorp",
        "tnemucod dees",
    )
)


def ignored_patterns(gitignore: str) -> list[str]:
    """Return the name patterns of a .gitignore file.

    Raises:
        ValueError: A line holds more than one name or glob, which this reader does not follow.
    """
    lines = [line.strip() for line in gitignore.splitlines()]
    patterns = [line.rstrip("/") for line in lines if line and not line.startswith("#")]
    unread = [pattern for pattern in patterns if "/" in pattern or pattern.startswith("!")]
    if unread:
        raise ValueError(f"Write .gitignore as plain names: {', '.join(unread)}.")
    return patterns


def kept_files(root: Path) -> Iterator[Path]:
    """Yield every file under `root` that .gitignore does not name, in order of path.

    Git itself is not asked: a copy of the clone has to pass without it.
    """
    patterns = [".git", *ignored_patterns((root / ".gitignore").read_text(encoding="utf-8"))]
    folders = [root]
    while folders:
        for entry in sorted(folders.pop().iterdir()):
            if any(fnmatchcase(entry.name, pattern) for pattern in patterns):
                continue
            if entry.is_dir():
                folders.append(entry)
            else:
                yield entry


def python_files(root: Path, *folders: str) -> list[Path]:
    """Return the Python files in these top-level folders, in order of path."""
    return sorted(
        path
        for path in kept_files(root)
        if path.suffix == ".py" and path.relative_to(root).parts[0] in folders
    )


def forbidden_words(root: Path) -> list[str]:
    """Return one sentence per file and word that ties the project to a machine or a host."""
    return [
        f"{path.relative_to(root)} holds {word!r}; take it out."
        for path in kept_files(root)
        for word in FORBIDDEN
        if word.encode() in path.read_bytes().lower()
    ]


def top_level_faults(root: Path) -> list[str]:
    """Return one sentence per name at the top that should not be there, or is missing."""
    names = {path.relative_to(root).parts[0] for path in kept_files(root)}
    shown = {name for name in names if not name.startswith(".")}
    return [
        *(f"{name} stands at the top level; move it." for name in sorted(shown - TOP_LEVEL)),
        *(f"{name} is missing from the top level." for name in sorted(TOP_LEVEL - shown)),
    ]
