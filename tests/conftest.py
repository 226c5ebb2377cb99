"""What several test folders share: where the project is, a small invented pwa folder, a client without a network."""

import os
import shutil
from pathlib import Path

import hypothesis
import pytest
from starlette.testclient import TestClient

from daybank.app import create_app
from daybank.assets import build_shell
from daybank.settings import Settings

ROOT = Path(__file__).resolve().parent.parent
BROWSER_ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
                     "--disable-background-networking", "--disable-component-update", "--disable-sync"]

# A slow moment of the machine is no fault of the law under test: speed has its own bench.
hypothesis.settings.register_profile("daybank", deadline=None, print_blob=True)
hypothesis.settings.load_profile("daybank")

SMALL_PWA = {
    "css/base.css": "@import 'tokens.css';\n.a { background: url(../icons/dot.svg) }\n.b { background: url(data:,) }\n",
    "css/tokens.css": ":root { --gap: 1px }\n",
    "demo/demo.json": '{"format": "daybank-export/1"}\n',
    "icons/dot.svg": '<svg xmlns="http://www.w3.org/2000/svg"/>\n',
    "icons/draw.py": "print('not for the phone')\n",
    "js/main.js": "import { twice } from './parts/twice.js';\nimport { ASSETS } from './assets-map.js';\n"
                  "document.title = `${twice(2)} ${ASSETS['words/en.json']}`;\n"
                  "document.documentElement.dataset.drawn = '';\n"
                  "navigator.serviceWorker.register('/sw.js', { updateViaCache: 'none' });\n",
    "js/parts/twice.js": "export const twice = (number) => 2 * number;\n",
    "manifest.webmanifest": '{"name": "Small", "icons": [{"src": "icons/dot.svg", "sizes": "any"}]}\n',
    "templates/index.html": "<!doctype html><title>small</title><link rel=icon href='data:,'>"
                            "<script type=module src=\"{{ asset('js/main.js') }}\"></script>\n",
    "templates/safe.html": "<!doctype html><title>safe</title><link rel=icon href='data:,'>\n",
    "vendor/idb.js": "export const openDB = 1;\n",
    "words/en.json": '{"hello": "Hello"}\n',
}


@pytest.fixture(scope="session")
def repository() -> Path:
    """The folder of the checkout."""
    return ROOT


@pytest.fixture(scope="session")
def browser_path() -> str:
    """A Chromium of this machine. Browser tests are never left out: without one they fail."""
    found = os.environ.get("DAYBANK_BROWSER") or shutil.which("chromium") or shutil.which("google-chrome")
    assert found, "no Chromium is on this machine; run tests/run.py, which finds or fetches one"
    return found


@pytest.fixture(scope="session")
def playwright():
    """The one Playwright of a run: a second one in the same process refuses to start."""
    from playwright.sync_api import sync_playwright
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def chromium(playwright, browser_path):
    """One running browser; each test takes a context of its own from it."""
    browser = playwright.chromium.launch(executable_path=browser_path, args=BROWSER_ARGUMENTS)
    yield browser
    browser.close()


@pytest.fixture
def small_pwa(tmp_path) -> Path:
    """A pwa folder of a few lines, with the project's real workers: tests may change its files."""
    folder = tmp_path / "pwa"
    for name, text in SMALL_PWA.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text)
    for name in ("sw.js", "kill-sw.js"):
        (folder / name).write_bytes((ROOT / "pwa" / name).read_bytes())
    return folder


@pytest.fixture
def small_client(small_pwa) -> TestClient:
    """Calls an app that serves the small pwa folder."""
    app = create_app(Settings(), build_shell(small_pwa, model=b'{"version":"none","files":{}}'))
    return TestClient(app, base_url="http://127.0.0.1", raise_server_exceptions=False)
