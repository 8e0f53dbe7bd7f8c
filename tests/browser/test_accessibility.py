"""Everyone can use it: axe-core on panels, sheets and handouts; keyboard; 200 % zoom.

axe-core (Deque Systems, MPL 2.0) tests against WCAG 2 A and AA. It comes from npm, for the tests
only, into a folder outside the checkout.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from cases import sampled
from handouts import NUMBERS as LESSONS
from handouts import made
from looking import wait_idle

from tapertrig import demo
from tapertrig.panels.ball_in_bore_panel import BallInBore
from tapertrig.panels.setup_triangle_panel import SetupTriangle
from tapertrig.printed.setup_sheet import setup_sheet

pytestmark = pytest.mark.browser

AXE = "axe-core@4"
SERIOUS = ("serious", "critical")
ZOOMED = [(lesson, style) for style in ("desk", "projector") for lesson in LESSONS]


@pytest.fixture(scope="session")
def axe(tmp_path_factory) -> str:
    """The text of axe-core."""
    folder = tmp_path_factory.mktemp("axe")
    npm = shutil.which("npm")
    why = "no npm found; install it to run the accessibility tests: apt install npm"
    if npm:
        run = subprocess.run(
            [npm, "install", "--prefix", str(folder), "--no-audit", "--no-fund", AXE],
            capture_output=True,
            text=True,
            timeout=180,
        )
        if run.returncode == 0:
            return Path(folder, "node_modules/axe-core/axe.min.js").read_text(encoding="utf-8")
        why = f"{AXE} cannot be installed: {run.stderr[-300:]}"
    if os.environ.get("CI") == "true":
        pytest.fail(why)
    pytest.skip(why)


def violations(page, axe: str, inside: str | None = None) -> list[str]:
    """What axe finds serious or critical, each with the elements concerned."""
    page.evaluate(axe)
    found = page.evaluate(
        """async inside => {
            const seen = await axe.run(inside ? {include: [[inside]]} : document);
            if (!seen.passes.length) throw new Error('axe looked at nothing');
            return seen.violations.map(v => [v.impact, v.id, v.nodes.map(n => n.html)]);
        }""",
        inside,
    )
    return [f"{impact}: {name}: {nodes[:3]}" for impact, name, nodes in found if impact in SERIOUS]


@pytest.mark.parametrize("number", LESSONS)
def test_panels(open_lesson, axe, number):
    page = open_lesson(number)
    page.locator(".tapertrig-panel").first.wait_for()
    assert violations(page, axe, ".tapertrig-panel") == []


@pytest.mark.parametrize(("number", "style"), sampled(ZOOMED, [*ZOOMED[:10], ("04", "projector")]))
def test_at_200_percent_nothing_is_cut_off(open_lesson, number, style):
    page = open_lesson(number, style=style, width=640, height=450)
    page.locator(".tapertrig-panel").first.wait_for()
    assert cut_off(page, ".tapertrig-panel") == []


CUT = """selector => {
    const cut = [];
    for (const panel of document.querySelectorAll(selector)) {
        const outer = panel.getBoundingClientRect();
        if (!outer.width) continue;
        for (const element of panel.querySelectorAll('*')) {
            const box = element.getBoundingClientRect();
            if (!box.width || element.closest('.tapertrig-spoken, .spoken')) continue;
            if (element.ownerSVGElement) continue; // a drawing is cut at its frame
            const name = `${element.tagName}.${element.className} ${element.textContent}`;
            if (box.right > outer.right + 1.5 || box.left < outer.left - 1.5)
                cut.push(`outside: ${name.slice(0, 120)}`);
            const clips = getComputedStyle(element).overflowX !== 'visible';
            const typed = ['INPUT', 'TEXTAREA', 'SELECT'].includes(element.tagName);
            if (clips && !typed && element.scrollWidth > element.clientWidth + 1.5)
                cut.push(`clipped: ${name.slice(0, 120)}`);
        }
    }
    return cut;
}"""


def cut_off(page, selector: str) -> list[str]:
    """Elements wider than the box they are in."""
    return page.evaluate(CUT, selector)


REACH = "a[href], button, input, select, textarea, summary, [tabindex='0']"


def walk(page, panel, most: int = 80) -> tuple[list[str], list[str]]:
    """What Tab reaches in a panel, in order, and what has no visible focus there."""
    marked = panel.evaluate(
        """(panel, reach) => {
            const found = [...panel.querySelectorAll(reach)].filter(
                e => !e.disabled && e.tabIndex >= 0 && e.getClientRects().length);
            found.forEach((e, index) => { e.dataset.reach = String(index); });
            found[0].focus();
            return found.length;
        }""",
        REACH,
    )
    assert 0 < marked < most
    reached, unseen = [], []
    # The first is reached by key too, so that the browser shows its focus.
    page.keyboard.press("Tab")
    page.keyboard.press("Shift+Tab")
    for _ in range(marked):
        place, name, outlined = page.evaluate(
            """() => {
                const e = document.activeElement, style = getComputedStyle(e);
                const line = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
                return [e.dataset.reach, e.outerHTML.slice(0, 100), line];
            }"""
        )
        reached.append(place)
        if not outlined:
            unseen.append(name)
        page.keyboard.press("Tab")
    assert reached == [str(index) for index in range(marked)]
    after = page.evaluate("() => document.activeElement.dataset.reach ?? null")
    assert after is None or int(after) == 0, "Tab does not leave the panel"
    return reached, unseen


@pytest.mark.parametrize("lesson", LESSONS)
def test_every_control_is_reached_by_tab_with_visible_focus(open_lesson, lesson):
    page = open_lesson(lesson)
    wait_idle(page)
    panel = page.locator(".tapertrig-panel").first
    panel.scroll_into_view_if_needed()
    reached, unseen = walk(page, panel)
    assert len(reached) >= 4
    assert unseen == []


def test_setup_sheet(new_page, axe):
    page = new_page(width=900, height=1200)
    picture = SetupTriangle().still()[0]
    page.set_content(setup_sheet(demo.job(), picture))
    assert violations(page, axe) == []


def test_worksheets(new_page, axe):
    from tapertrig.printed.worksheets import worksheet

    page = new_page(width=900, height=1200)
    page.set_content(worksheet(2, ["setup triangle", "dials"], 3, problems_each=3))
    assert violations(page, axe) == []


def test_inspection_record(new_page, axe):
    from tapertrig.panels import inspection
    from tapertrig.printed.inspection_record import inspection_record

    page = new_page(width=900, height=1200)
    page.set_content(inspection_record(inspection().current(), BallInBore().still()[0]))
    assert violations(page, axe) == []


@pytest.mark.parametrize("size", [(390, 844), (1920, 1080)], ids=["phone", "1080p"])
def test_handout(new_page, axe, size):
    page = new_page(*size)
    page.set_content(made("03"))
    page.get_by_text("Show the answers").click()
    assert violations(page, axe) == []


def test_handout_at_200_percent_and_by_tab(new_page):
    page = new_page(195, 422)
    page.set_content(made("03"))
    page.get_by_text("Show the answers").click()
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert cut_off(page, "main") == []
    reached, unseen = walk(page, page.locator("main"))
    assert len(reached) >= 3
    assert unseen == []


def test_the_checks_see_what_is_wrong(new_page, axe):
    page = new_page(400, 400)
    page.set_content(
        "<!doctype html><html lang=en><title>t</title><main class=p style='width:200px'>"
        "<input><img src='data:,'><div style='overflow:hidden;width:100px'>"
        "<p style='width:300px'>wide</p></div></main></html>"
    )
    assert {"label", "image-alt"} <= {line.split(": ")[1] for line in violations(page, axe)}
    assert any(line.startswith("clipped") for line in cut_off(page, ".p"))
    assert any(line.startswith("outside") for line in cut_off(page, ".p"))
    page.add_style_tag(content="input:focus { outline: none }")
    assert walk(page, page.locator(".p"))[1] != []
