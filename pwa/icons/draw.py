"""Makes the PNG icons from daybank.svg. Run once after changing the drawing; needs Playwright and a Chromium.

    python pwa/icons/draw.py

The maskable one fills its square and keeps the drawing inside the safe circle (80 % of the width, W3C manifest icons).
"""

import os
import re
from pathlib import Path

from playwright.sync_api import sync_playwright

FOLDER = Path(__file__).resolve().parent
ICONS = {"daybank-180.png": (180, False), "daybank-192.png": (192, False), "daybank-512.png": (512, False),
         "daybank-maskable-512.png": (512, True)}


def drawing(*, maskable: bool) -> str:
    """The SVG text; for the maskable icon without rounded corners and with its drawing drawn in from the edges."""
    text = (FOLDER / "daybank.svg").read_text(encoding="utf-8")
    if not maskable:
        return text
    text = text.replace('rx="96" ', "")
    ground = re.search(r'<rect width="512" height="512"[^>]*/>', text).group()
    text = text.replace(ground, f'{ground}<g transform="translate(64 64) scale(.75)">')
    return text.replace("</svg>", "</g></svg>")


def main() -> None:
    browser_path = os.environ.get("DAYBANK_BROWSER", "/usr/bin/chromium")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=browser_path, args=["--no-sandbox", "--disable-gpu"])
        for name, (size, maskable) in ICONS.items():
            page = browser.new_page(viewport={"width": size, "height": size})
            style = f"<style>body{{margin:0}}svg{{display:block;width:{size}px}}</style>"
            page.set_content(style + drawing(maskable=maskable))
            page.screenshot(path=FOLDER / name, omit_background=True)
            page.close()
        browser.close()


if __name__ == "__main__":
    main()
