"""What a person does on a setup sheet open in a browser: the same steps in any of them."""

from __future__ import annotations

from pathlib import Path

PHONE = {"width": 390, "height": 844}
BOXES = {
    2: ("Compound dial", "Cross dial"),
    3: ("Compound dial", "Stack", "Needle, + a larger gap"),
}
# Storage as some browsers have it for a file: there, and refused at every touch.
STORAGE_REFUSED = """Object.defineProperty(window, 'localStorage', {
    get() { throw new DOMException('The operation is insecure.', 'SecurityError'); },
});"""


def open_sheet(page, folder: Path, sheet: str):
    """The sheet as a file by itself, no server, on a screen of a phone."""
    path = folder / "sheet.html"
    path.write_text(sheet, encoding="utf-8")
    page.set_viewport_size(PHONE)
    page.goto(path.as_uri())
    return page


def type_in(page, said: list[str], tight: bool = False) -> None:
    """Type what the dials show, as it is said."""
    for label, text in zip(BOXES[len(said)], said, strict=True):
        page.get_by_label(label, exact=True).fill(text)
    page.get_by_label("tight" if tight else "eased", exact=True).check()


def keep_pass(page, said: list[str], tight: bool = False) -> str:
    """Type a pass and keep it; what to do next."""
    type_in(page, said, tight)
    page.get_by_role("button", name="Keep pass").click()
    return next_words(page)


def come_back(page) -> None:
    """Load the page anew, no sooner than a hand can: what is kept is written down by then."""
    page.wait_for_timeout(500)
    page.reload()


def next_words(page) -> str:
    """What to do next, as the page says it."""
    return page.locator("#next").inner_text()


def carried(page) -> str:
    """The line that carries the readings to the job."""
    return page.get_by_label("Carried line").input_value()


def sideways(page) -> bool:
    """Whether the page is wider than the screen."""
    return page.evaluate("document.documentElement.scrollWidth > window.innerWidth")


def too_small(page) -> list[str]:
    """What is to be pressed and is smaller than a thumb: 44 px, as WCAG 2.2 (2.5.5) has it."""
    return page.evaluate(
        """() => [...document.querySelectorAll('button, a, textarea, input')]
            .map(one => one.type === 'radio' ? one.closest('label') : one)
            .filter(one => one.getClientRects().length)
            .filter(one => {
                const box = one.getBoundingClientRect();
                return box.width < 44 || box.height < 44;
            }).map(one => one.outerHTML.slice(0, 100))"""
    )
