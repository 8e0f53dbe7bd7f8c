"""Handling a panel as a person does: by its names, its keys and the mouse."""

from __future__ import annotations

import time

from looking import answered, picture_hash, wait_picture_change

SETTLE = 0.2


def open_folds(root: object) -> None:
    """Open what is folded in a panel."""
    folds = root.locator(".tapertrig-fold button[aria-expanded='false']")
    folds.evaluate_all("all => all.forEach(one => one.click())")


class PanelSeen:
    """One panel on a page, found by the place it has among the page's panels."""

    def __init__(self, page: object, index: int = 0) -> None:
        self.page = page
        # A panel that was just pressed looks to itself, and moves the page, after a moment.
        if page.evaluate("() => Boolean(document.activeElement.closest('.tapertrig-panel'))"):
            page.wait_for_timeout(400)
        self.root = page.locator(".tapertrig-panel").nth(index)
        self.root.scroll_into_view_if_needed()
        open_folds(self.root)
        self.image = self.root.locator(".tapertrig-drawing")
        page.wait_for_function(
            "root => root.querySelector('.tapertrig-drawing')?.children.length > 0"
            " && root.querySelector('.tapertrig-sentence').textContent",
            arg=self.root.element_handle(),
        )

    @classmethod
    def with_slider(cls, page: object, name: str):
        """The first panel of a page that has a slider of that name."""
        page.get_by_role("slider", name=name, exact=True).first.wait_for()
        has = page.evaluate(
            """name => [...document.querySelectorAll('.tapertrig-panel')].findIndex(
                panel => panel.querySelector(`input[type=range][aria-label="${name}"]`))""",
            name,
        )
        return cls(page, has)

    def slider(self, name: str):
        return self.root.get_by_role("slider", name=name, exact=True)

    def entry(self, name: str):
        return self.root.get_by_role("textbox", name=name, exact=True)

    def choose(self, name: str, option: str) -> None:
        self.root.get_by_label(name, exact=True).select_option(label=option)

    def press(self, name: str) -> None:
        self.root.get_by_role("button", name=name, exact=True).click()

    @property
    def sentence(self) -> str:
        return self.root.locator(".tapertrig-sentence").inner_text()

    @property
    def alternative(self) -> str:
        return self.image.get_attribute("aria-label")

    @property
    def notice(self) -> str:
        return self.root.locator(".tapertrig-notice").inner_text()

    @property
    def news(self) -> str:
        return self.root.locator(".tapertrig-news").inner_text()

    def message(self, name: str) -> str:
        return self.page.locator(
            f"#{self.entry(name).get_attribute('aria-describedby')}"
        ).inner_text()

    def rows(self) -> dict[str, str]:
        pairs = self.root.locator(".tapertrig-words dl > div")
        texts = pairs.evaluate_all(
            "divs => divs.map(d => [d.firstChild.textContent, d.lastChild.textContent])"
        )
        return dict(texts)

    def picture(self) -> str:
        return picture_hash(self.image)

    def type(self, name: str, text: str, changes: bool = True) -> None:
        """Type into an entry and press Enter; wait for the picture, or for a message."""
        before = self.picture()
        entry = self.entry(name)
        entry.fill(text)
        entry.press("Enter")
        if changes:
            wait_picture_change(self.image, before)
        self.settle()

    def settle(self) -> None:
        """Wait until the kernel has answered, and picture and words have come to rest."""
        last = None
        for _ in range(300):
            now = answered(self.page), self.picture(), self.sentence
            if now[0] and now == last:
                return
            last = now
            time.sleep(SETTLE)
        raise AssertionError("the panel does not come to rest")

    def timed_key(self, name: str, key: str) -> float:
        """Milliseconds from a key press on a slider to a new drawing on the page."""
        self.slider(name).focus()
        self.page.evaluate(
            """board => {
                window.seen = new Promise(done => {
                    const start = performance.now();
                    new MutationObserver((_, watch) => {
                        watch.disconnect();
                        done(performance.now() - start);
                    }).observe(board, {attributes: true, attributeFilter: ['data-turn']});
                });
            }""",
            self.root.locator(".tapertrig-board").element_handle(),
        )
        self.page.keyboard.press(key)
        return self.page.evaluate("() => window.seen")

    def watch(self) -> None:
        """Note from now on whether anything of the drawing is ever taken away, or made anew."""
        self.page.evaluate(
            """root => {
                window.flicker = [];
                window.frames_seen = 0;
                new MutationObserver(() => { window.frames_seen += 1; }).observe(
                    root.querySelector('.tapertrig-board'),
                    {attributes: true, attributeFilter: ['data-turn']});
                const svg = root.querySelector('.tapertrig-drawing');
                new MutationObserver(changes => {
                    for (const change of changes)
                        for (const node of [...change.removedNodes, ...change.addedNodes])
                            if (node.nodeType === Node.ELEMENT_NODE && node.closest('svg, body > *')
                                && (svg.contains(change.target) || node.contains(svg)))
                                window.flicker.push(`${node.tagName} removed or added`);
                }).observe(root, {childList: true, subtree: true});
            }""",
            self.root.element_handle(),
        )

    def flickered(self) -> list[str]:
        return self.page.evaluate("() => [...new Set(window.flicker)]")

    def drag(self, name: str, start: float = 0.1, end: float = 0.9, steps: int = 30) -> None:
        """Drag a slider with the mouse between two parts of its length."""
        slider = self.slider(name)
        slider.scroll_into_view_if_needed()
        box = slider.bounding_box()
        y = box["y"] + box["height"] / 2

        def at(part: float) -> float:
            return box["x"] + 8 + part * (box["width"] - 16)

        self.page.mouse.move(at(start), y)
        self.page.mouse.down()
        for step in range(steps + 1):
            self.page.mouse.move(at(start + (end - start) * step / steps), y)
            time.sleep(0.016)
        self.page.mouse.up()
        self.settle()
