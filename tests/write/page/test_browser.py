"""The page in a real browser: it draws, cuts, measures what the STEP file says, obeys the keyboard, asks for nothing.

Outside checks: distances against the STEP file as cadquery reads it; touch targets of 44 px (WCAG 2.1, success
criterion 2.5.5) and text no smaller than 12 pt. Skipped where playwright or Chromium is missing.
"""

from __future__ import annotations

import io
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from mounts.findings.report import Verdict
from mounts.made import Made
from mounts.write.page.cuts import tightest
from mounts.write.page.html import page_html
from mounts.write.step import step_bytes
from mounts.write.text_shaping import plain_text
from tests.write.page.test_told import NASTY, nasty

playwright = pytest.importorskip("playwright.sync_api")
CHROMIUM = os.environ.get("MOUNTS_CHROMIUM") or next(
    filter(None, map(shutil.which, ("chromium", "chromium-browser"))), ""
)
if not CHROMIUM:
    pytest.skip("Chromium is not installed (apt install chromium)", allow_module_level=True)
ARGS = [
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
    *("--use-angle=swiftshader", "--enable-unsafe-swiftshader"),
]
HANGS = 600_000  # ms after which a step hangs; a busy machine that draws in software needs more than the usual 30 s
OVER = "#lines, #marks, #compass, #under, #readout, #aim"  # what lies over the picture
FRAMES = """() => new Promise((done) => {
    const next = (left) => requestAnimationFrame(() => (left ? next(left - 1) : done()));
    next(4);
})"""
SHOW = f"(how) => document.querySelectorAll('{OVER}').forEach((e) => {{ e.style.visibility = how }})"
MOUNT = (236, 195, 128)  # the mount's section: its colour a third of the way to white
Open = Callable[..., "Page"]


class Page:
    """An open page, and what went wrong or out since it was opened."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.wrong: list[str] = []
        self.asked: list[str] = []
        page.on("console", lambda said: self.wrong.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: self.wrong.append(str(error)))
        page.on("dialog", lambda dialog: self.wrong.append(f"dialog {dialog.message}"))
        page.on("request", lambda request: self.asked.append(request.url))

    def still(self) -> None:
        """Waits until nothing moves."""
        self.page.evaluate(FRAMES)

    def picture(self) -> np.ndarray:
        """The canvas alone, (h, w, 3)."""
        self.still()
        self.page.evaluate(SHOW, "hidden")
        data = self.page.locator("#canvas").screenshot()
        self.page.evaluate(SHOW, "")
        return np.asarray(Image.open(io.BytesIO(data)).convert("RGB")).astype(int)

    def hatched(self, colour: tuple[int, int, int] = MOUNT) -> int:
        """Pixels of a section's own colour."""
        return int((np.abs(self.picture() - colour).max(axis=2) <= 2).sum())

    def text(self, place: str) -> str:
        return str(self.page.inner_text(place))

    def distance(self) -> float:
        return float(self.text("#distance").removesuffix(" mm").replace("−", "-"))

    def spots(self) -> list[tuple[float, float]]:
        """Where the places that were taken appear on the screen."""
        self.still()
        frame = self.page.locator("#frame").bounding_box()
        circles = self.page.locator("circle.taken").evaluate_all(
            "all => all.map((c) => [c.cx.baseVal.value, c.cy.baseVal.value])"
        )
        return [(frame["x"] + x, frame["y"] + y) for x, y in circles]

    def choose(self, box: str, text: str) -> None:
        """Takes the option of a box whose words begin so."""
        options = self.page.locator(f"{box} option").all_inner_texts()
        (found,) = [k for k, option in enumerate(options) if option.startswith(text)]
        self.page.select_option(box, index=found)
        self.still()


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with playwright.sync_playwright() as tool:
        found = tool.chromium.launch(executable_path=CHROMIUM, args=ARGS, timeout=HANGS)
        yield found
        found.close()


@pytest.fixture
def opened(browser: Any, tmp_path: Path) -> Iterator[Open]:
    """Opens a part's page; every request but that for the file itself is cut off and counted."""
    contexts = []

    def one(made: Made, width: int = 1000, height: int = 640, **about: Any) -> Page:
        path = tmp_path / "part.html"
        path.write_bytes(page_html(made))
        context = browser.new_context(viewport={"width": width, "height": height}, reduced_motion="reduce", **about)
        context.set_default_timeout(HANGS)
        contexts.append(context)
        page = Page(context.new_page())
        page.page.route(
            "**/*", lambda route: route.continue_() if route.request.url == path.as_uri() else route.abort()
        )
        page.page.goto(path.as_uri())
        page.still()
        page.uri = path.as_uri()
        return page

    yield one
    for context in contexts:
        context.close()


def holes(made: Made, tmp_path: Path) -> dict[tuple[float, float], float]:
    """The upright holes of a part's STEP file as cadquery reads them: place → diameters, least first."""
    import cadquery

    path = tmp_path / "part.step"
    path.write_bytes(step_bytes(made.part))
    found: dict[tuple[float, float], float] = {}
    for face in cadquery.importers.importStep(str(path)).faces("%CYLINDER").vals():
        cylinder = face._geomAdaptor().Cylinder()
        axis, at = cylinder.Axis().Direction(), cylinder.Axis().Location()
        if abs(axis.Z()) > 1 - 1e-9:
            place = (round(at.X(), 6), round(at.Y(), 6))
            found[place] = min(found.get(place, np.inf), 2 * cylinder.Radius())
    return found


def test_it_loads_draws_and_asks_for_nothing(opened, ring):
    page = opened(ring)
    picture = page.picture()
    colours, counts = np.unique(picture.reshape(-1, 3), axis=0, return_counts=True)
    assert len(colours) > 500
    assert counts.max() < 0.8 * counts.sum()
    assert page.text("#caption") == "The whole assembly, nothing is cut"
    assert page.text("#job") == "linnet-woofer"
    assert page.wrong == []
    assert page.asked == [page.uri]
    outside = "() => fetch('https://example.invalid/').then(() => 'fetched', () => 'refused')"
    assert page.page.evaluate(outside) == "refused"
    page.page.evaluate("() => document.body.append(Object.assign(document.createElement('script'), {text: 'ran = 1'}))")
    assert page.page.evaluate("() => typeof ran") == "undefined"
    assert page.asked == [page.uri]


def test_the_cut_is_filled_moves_and_turns_over(opened, ring):
    page = opened(ring)
    assert page.hatched() < 20  # it opens on the whole
    assert page.page.is_disabled("#depth")
    page.page.select_option("#way", "y")
    middle = page.hatched()
    assert middle > 500
    assert page.text("#where") == "y = 0.0"
    page.page.focus("#depth")
    for _ in range(5):
        page.page.keyboard.press("PageUp")
    assert float(page.text("#where").removeprefix("y = ")) > 20
    assert abs(page.hatched() - middle) > 100
    page.page.select_option("#way", "x")
    before = page.picture()
    page.page.click("#half")
    assert page.hatched() > 500
    assert (page.picture() != before).any()
    page.page.select_option("#way", "axis")  # along the seat, which shows as a ring about the speaker
    assert page.text("#where") == "0.0 off the seat"
    assert page.hatched() > 2000
    assert page.wrong == []


def test_switches_show_and_hide(opened, ring):
    page = opened(ring)
    page.page.select_option("#way", "y")
    page.page.click("#tab-show")
    switches = page.page.locator("label.switch").all_inner_texts()
    assert {"Mount", "Speaker, at rest", "Panel", "Trim", "Grille", "Tool paths", "lift rail"} <= set(switches)
    shown = page.hatched()
    page.page.get_by_label("Mount", exact=True).uncheck()
    assert page.hatched() < 20 < shown
    page.page.get_by_label("Mount", exact=True).check()
    assert page.hatched() == shown
    rail = page.picture()
    page.page.get_by_label("Tool paths", exact=True).check()
    assert (page.picture() != rail).any()
    assert page.wrong == []


def test_the_keyboard_reaches_and_moves_everything(opened, failing):
    page = opened(failing)
    cut = (
        "() => { const way = document.querySelector('#way'); way.value = 'y'; way.dispatchEvent(new Event('change')) }"
    )
    page.page.evaluate(cut)  # without the focus; a whole assembly has neither slider nor other half
    reached = []
    for _ in range(40):
        page.page.keyboard.press("Tab")
        name = "() => { const a = document.activeElement; return a.id || a.className }"
        reached.append(page.page.evaluate(name))
    wanted = {
        "worst",
        "canvas",
        "way",
        "from",
        "half",
        "depth",
        "tab-findings",
        "pane-findings",
        "mark fail",
        "mark warn",
    }
    assert wanted <= set(reached)
    assert any(name.startswith("finding") for name in reached)
    page.page.focus("#canvas")
    ring_of_focus = "() => getComputedStyle(document.activeElement).outlineStyle"
    assert page.page.evaluate(ring_of_focus) == "solid"
    before = page.picture()
    page.page.keyboard.press("ArrowLeft")
    assert (page.picture() != before).any()
    for key, way in {"x": "x", "z": "z", "a": "axis", "p": "place", "0": "none", "y": "y"}.items():
        page.page.keyboard.press(key)
        assert page.page.input_value("#way") == way
    page.page.keyboard.press("]")
    assert page.text("#where") == "y = 1.0"
    page.page.keyboard.press("o")
    page.page.keyboard.press("Enter")  # takes what lies under the cross in the middle
    assert page.text("#readout").startswith("A ")
    page.page.keyboard.press("Escape")
    assert not page.page.is_visible("#readout")
    page.page.focus("#tab-findings")
    page.page.keyboard.press("ArrowRight")
    assert page.page.is_visible("#pane-show")
    assert not page.page.is_visible("#pane-findings")
    assert page.wrong == []


def test_it_goes_to_a_finding_from_its_mark_and_from_the_list(opened, failing):
    page = opened(failing)
    marks = page.page.locator(".mark").all_inner_texts()
    assert marks == [f"{k}" for k in range(1, len(failing.report.marked) + 1)]
    rows = page.page.locator("button.finding.fail, button.finding.warn")
    assert [text.split()[0] for text in rows.all_inner_texts()] == marks
    first = failing.report.marked[0]
    row = page.page.locator("button.finding", has_text=first.what).first
    assert "take 2.0 less height" in row.inner_text()
    row.click()
    page.still()
    assert page.text("#caption").startswith(f"Section through: {first.what}")
    box = page.page.locator("#frame").bounding_box()
    x, y = page.page.locator("circle.chosen").evaluate("c => [c.cx.baseVal.value, c.cy.baseVal.value]")
    assert (x, y) == pytest.approx((box["width"] / 2, box["height"] / 2), abs=1.0)
    page.page.locator(".mark").nth(1).click()
    page.still()
    assert page.text("#caption").startswith(f"Section through: {failing.report.marked[1].what}")
    assert page.page.locator(".finding[aria-current='true']").inner_text().startswith("2 FAIL")
    assert page.wrong == []


def test_it_measures_what_the_step_file_says(opened, ring, tmp_path):
    """By name, and by pointing at two holes from behind: the distance of their axes, and its parts."""
    there = holes(ring, tmp_path)
    a, c = (ring.job.panel.fixings.points[name] for name in "AC")
    assert there[a] == there[c] == pytest.approx(ring.plan.fixings[0].hole)
    apart = float(np.hypot(a[0] - c[0], a[1] - c[1]))
    page = opened(ring)
    page.choose("#way", "cut nothing")
    page.choose("#from", "look from behind")
    page.page.click("#tab-show")
    for label in ("Speaker, at rest", "Panel", "Glass, where it comes nearest", "Trim", "Grille", "lift rail"):
        page.page.get_by_label(label, exact=True).uncheck()
    page.page.get_by_label("Screws, washers and what stands on the face").uncheck()
    page.page.click("#tab-measure")
    page.choose("#measure-A", f"hole A: hole, ⌀ {there[a]:.2f}")
    page.choose("#measure-B", f"hole C: hole, ⌀ {there[c]:.2f}")
    assert page.distance() == pytest.approx(apart, abs=0.0051)
    parts = page.text("#readout .parts").replace("−", "-").split()
    assert [float(value) for value in parts[1::2]] == pytest.approx([c[0] - a[0], c[1] - a[1], 0.0], abs=0.0051)
    spots = page.spots()
    page.page.click("#readout button")
    assert page.spots() == []
    for x, y in spots:
        page.page.mouse.click(x + 3, y - 2)  # not quite the middle, as a hand does it
        page.still()
    names = [f"{pick} hole {hole}: hole, ⌀ {there[at]:.2f}" for pick, hole, at in (("A", "A", a), ("B", "C", c))]
    assert page.text("#readout").split("\n\n")[:2] == names
    assert page.distance() == pytest.approx(apart, abs=0.0051)
    assert page.wrong == []


def test_flat_faces_are_measured_as_planes_and_a_place_on_the_cut_as_a_point(opened, spacer, tmp_path):
    """A spacer's front and back as cadquery reads them, by name; and a place on the section, where the cut is."""
    import cadquery

    path = tmp_path / "part.step"
    path.write_bytes(step_bytes(spacer.part))
    body = cadquery.importers.importStep(str(path))
    levels = sorted({round(face.Center().z, 6) for face in body.faces("|Z").vals()})
    front, back = levels[-1], levels[0]
    page = opened(spacer)
    page.page.click("#tab-measure")
    page.choose("#measure-A", f"lip: flat, z = {front:.2f}")
    page.choose("#measure-B", f"sleeve: flat, z = −{abs(back):.2f}")
    assert page.distance() == pytest.approx(front - back, abs=0.0051)
    page.page.click("#readout button")
    page.choose("#way", "cut across x")
    page.choose("#from", "look from the right")
    page.page.focus("#canvas")
    page.page.keyboard.press("Enter")  # the device, cut: a place on its section
    page.still()
    assert "device" in page.text("#readout")
    assert abs(float(page.text("#readout").replace("−", "-").split(" x ")[1].split(",")[0])) < 0.01


def boxes(page: Page, which: str) -> list[tuple[float, float, float, float]]:
    """Left, top, right and bottom of what is seen of some elements."""
    seen = """all => all.filter((e) => !e.hidden && getComputedStyle(e).visibility === "visible")
        .map((e) => e.getBoundingClientRect()).map((b) => [b.left, b.top, b.right, b.bottom])"""
    return [tuple(box) for box in page.page.locator(which).evaluate_all(seen)]


@pytest.mark.parametrize("size", [(1400, 900), (390, 844)])
def test_things_are_named_where_they_are_and_nothing_covers_the_directions(opened, failing, size):
    page = opened(failing, *size)
    page.page.wait_for_selector(".name")
    page.still()
    names = page.page.locator(".name").all_inner_texts()
    assert {"Mount", "Speaker", "Panel", "Glass"} <= set(names)
    placed = [*boxes(page, "#compass"), *boxes(page, ".name"), *boxes(page, ".mark")]
    assert len(placed) > 6
    for k, (left, top, right, bottom) in enumerate(placed):
        for a, b, c, d in placed[:k]:
            assert left >= c - 1 or right <= a + 1 or top >= d - 1 or bottom <= b + 1
    assert page.wrong == []


def test_the_worst_finding_is_one_click_away_else_the_tightest(opened, ring, failing):
    page = opened(failing)
    worst = next(f for f in failing.report.findings if f.verdict is Verdict.FAIL)
    assert page.page.get_by_role("button", name=f"Show the worst: {worst.what}").is_visible()
    page.page.click("#worst")
    assert page.text("#caption").startswith(f"Section through: {worst.what}")
    assert page.hatched() > 500
    page = opened(ring)
    tight = ring.report.findings[tightest(ring.report.findings)[0]]
    page.page.click("#worst")
    assert page.text("#caption").startswith(f"Section through: {tight.what}")


def test_the_list_to_measure_has_neither_letters_nor_broken_edges(opened, ring):
    """Every face in it is a millimetre broad at least, as cadquery's area and box of its faces have it."""
    page = opened(ring)
    page.page.click("#tab-measure")
    options = page.page.locator("#measure-A option").all_inner_texts()
    assert not [text for text in options if text.startswith("label")]
    assert any(text.startswith("hole A: hole") for text in options)
    broad = [f for f in ring.part.solid.faces() if f.geomType() in ("PLANE", "CYLINDER")]
    narrow = [f for f in broad if f.Area() < f.BoundingBox().DiagonalLength]
    assert narrow  # letters and broken edges there are
    assert len(options) - 1 <= len(broad) - len(narrow)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [(1400, 900), (390, 844)])
def test_axe_finds_nothing_serious(opened, failing, size, scheme):
    """Names, roles, contrast, focus: the rules of axe-core, in every tab."""
    package = pytest.importorskip("axe_playwright_python")  # whose own reader takes the locale's encoding
    axe = (Path(package.__file__).parent / "axe.min.js").read_text("utf-8")
    page = opened(failing, *size, color_scheme=scheme, bypass_csp=True)
    for tab in ("findings", "show", "measure", "help"):
        page.page.click(f"#tab-{tab}")
        page.page.evaluate(axe)
        found = page.page.evaluate("() => axe.run({resultTypes: ['violations']})")["violations"]
        assert [(one["id"], one["help"]) for one in found if one["impact"] in ("serious", "critical")] == [], tab


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_on_a_phone_everything_is_large_enough_and_nothing_runs_over(opened, cup, scheme):
    page = opened(cup, 390, 844, color_scheme=scheme, has_touch=True)
    wide = page.page.evaluate("() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]")
    assert wide[0] <= wide[1]
    small = """() => [...document.querySelectorAll("button, select, input[type=range], label.switch, summary")]
        .filter((e) => e.checkVisibility() && !e.classList.contains("mark")).map((e) => e.getBoundingClientRect())
        .filter((b) => b.height < 44 || b.width < 44).length"""
    tiny = """() => [...document.querySelectorAll("body *")].filter((e) => e.checkVisibility() && !e.closest("svg")
        && [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()))
        .filter((e) => parseFloat(getComputedStyle(e).fontSize) < 16).map((e) => e.outerHTML)"""
    for tab in ("findings", "show", "measure", "help"):
        page.page.tap(f"#tab-{tab}")
        assert page.page.evaluate(small) == 0, tab
        assert page.page.evaluate(tiny) == [], tab
    frame = page.page.locator("#frame").bounding_box()
    assert frame["height"] >= 844 / 2
    for share in (0.4, 0.6):
        page.page.touchscreen.tap(frame["x"] + share * frame["width"], frame["y"] + 0.5 * frame["height"])
        page.still()
    assert page.distance() > 1
    ground = page.page.evaluate("() => getComputedStyle(document.body).backgroundColor")
    assert (sum(map(int, ground[4:-1].split(","))) < 200) is (scheme == "dark")
    assert page.wrong == []


@pytest.mark.parametrize("text", NASTY)
def test_names_are_shown_and_nothing_else(opened, spacer, text):
    page = opened(nasty(spacer, text), 800, 900)
    shown = plain_text(text).encode(errors="replace").decode()
    assert page.page.title() == shown.strip()
    for place in ("#job", ".finding .what", "#panes .caution"):
        assert page.page.locator(place).first.text_content() == shown
    assert page.page.locator("label.switch bdi").nth(1).text_content() == shown
    assert page.page.evaluate("() => document.scripts.length") == 3
    assert page.page.evaluate("() => document.images.length") == 0
    wide = page.page.evaluate("() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]")
    assert wide[0] <= wide[1]
    assert page.wrong == []
    assert page.asked == [page.uri]


def test_without_a_picture_the_findings_are_told(opened, spacer, browser, tmp_path):
    path = tmp_path / "plain.html"
    path.write_bytes(page_html(spacer))
    context = browser.new_context()
    context.set_default_timeout(HANGS)
    page = context.new_page()
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
    page.goto(path.as_uri())
    assert page.locator("#blank").is_visible()
    assert page.locator(".finding").count() == len(spacer.report.findings)
    context.close()
