"""Pictures of every page, narrow and wide: `python -m tests.web.screenshots FOLDER [LANGUAGE]`.

They are to be looked at by a person, and compared with nothing.
"""

import re
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import sync_playwright

from tests.web.addresses import rules
from tests.web.browser import DESK, PHONE, Screen, start_chromium
from tests.web.demo_pages import Windows, demo_in


def main(arguments: list[str]) -> None:
    """Write the pictures into a folder, made if missing, and print their names."""
    folder, language = Path(arguments[0]), (arguments[1:] or ["en"])[0]
    folder.mkdir(parents=True, exist_ok=True)
    with (
        TemporaryDirectory() as place,
        demo_in(Path(place)) as demo,
        sync_playwright() as play,
    ):
        windows = Windows(start_chromium(play), demo)
        for rule in rules("GET"):
            for ask in demo.pages(rule):
                for width, screen in ((320, Screen(size=PHONE)), (1280, Screen(size=DESK))):
                    window = windows.window(ask, screen, language)
                    window.open(ask.path)
                    file = folder / f"{_plain(ask.path)}-{width}-{language}.png"
                    window.page.screenshot(path=file, full_page=True)
                    sys.stdout.write(f"{file}\n")
        windows.close()


def _plain(path: str) -> str:
    # the token of a one-time link says nothing about its page
    return re.sub(r"[^a-z0-9]+", "-", path.strip("/")[:40]) or "today"


if __name__ == "__main__":
    main(sys.argv[1:])
