"""The replay page in a real browser: no errors, its ink beside the PNG, keys, contrast, focus."""

from __future__ import annotations

import base64
import io
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from plotlib import curves, fills, plan, shapes, text
from plotlib.drawing import Drawing
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.plot import Plot
from plotlib.preview import page
from plotlib.preview.picture import pixels
from plotlib.sheet import Sheet

BLUE = Pen("blue", width=0.4, colour="#1d4e89")
RED = Pen("red", width=0.3, colour="#c0392b")
MARKER = Pen("marker", width=4, colour="#ffd84a", opacity=0.6)
LIGHT = {"name": "prefers-color-scheme", "value": "light"}
DARK = {"name": "prefers-color-scheme", "value": "dark"}
CALM = {"name": "prefers-reduced-motion", "value": "reduce"}
Open = Callable[..., Any]


@pytest.fixture(scope="module")
def plot() -> Plot:
    """A hatched moon, a rose that crosses itself, a word that a highlighter lies on."""
    moon = shapes.circle((105, 74), 40, pen=BLUE)
    word = text.lettering("Skerrow", height=9, at=(20, 120), pen=RED)
    marks = Drawing([[(20, 122), (80, 122)], [(20, 125), (80, 125)]], pen=MARKER)
    drawing = moon + fills.hatch(moon, spacing=0.8, angle=30, pen=BLUE)
    drawing = drawing + word + curves.rose((155, 70), 35, k=4, pen=RED) + marks
    return plan(drawing, machine(), sheet=Sheet.iso("A5", landscape=True, at=(5, 10), margin=8))


def machine() -> Machine:
    lift = ServoLift(up="M5", down="M3 S90", settle_up=0.2, settle_down=0.2)
    clamp = shapely.box(0, 0, 4, 20)
    axes = {"x": Axis(10_000, 500), "y": Axis(4_000, 250)}
    return Machine(width=225, height=250, **axes, lift=lift, feed=3_000, keep_outs=clamp)


@pytest.fixture
def opened(browser: Any, plot: Plot, tmp_path: Path) -> Open:
    """Open the page of a plot in a window of some size; wait until it is drawn."""

    def open_page(
        size: tuple[int, int] = (1280, 800), *media: dict[str, str], of: Plot = plot
    ) -> Any:
        page(of, tmp_path / "plot.html", title="Moon over the Skerrow Isles")
        screen = {"width": size[0], "height": size[1], "deviceScaleFactor": 1, "mobile": False}
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", screen)
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": list(media)})
        browser.get((tmp_path / "plot.html").as_uri())
        drawn(browser)
        return browser

    return open_page


def drawn(browser: Any) -> None:
    """Wait until the page has nothing more to draw."""
    for _ in range(1200):
        if browser.execute_script("return Boolean(window.replay) && !replay.busy"):
            return
        time.sleep(0.025)
    raise AssertionError("the page is still drawing after 30 s")


def seen(browser: Any, canvas: str = "ink") -> np.ndarray:
    """What is on a canvas, (rows, columns, 4)."""
    from PIL import Image

    script = "return document.getElementById(arguments[0]).toDataURL().split(',')[1]"
    data = base64.b64decode(browser.execute_script(script, canvas))
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGBA")).astype(float)


def sheet_seen(browser: Any) -> np.ndarray:
    west, north, east, south = browser.execute_script("return replay.view.sheet")
    return seen(browser)[north:south, west:east, :3]


def sheet_drawn(browser: Any, drawing: Drawing, plot: Plot) -> np.ndarray:
    """The PNG's pixels at the scale of the page."""
    scale = browser.execute_script("return replay.view.scale")
    west, north, east, south = browser.execute_script("return replay.view.sheet")
    left, top = browser.execute_script("return [replay.view.left, replay.view.top]")
    corners = (left + west / scale, top - south / scale, left + east / scale, top - north / scale)
    return pixels(drawing, dpi=scale * 25.4, page=shapely.box(*corners)).astype(float)


def blocks(array: np.ndarray, size: int) -> np.ndarray:
    rows = array.shape[0] // size * size
    columns = array.shape[1] // size * size
    cut = array[:rows, :columns].reshape(rows // size, size, columns // size, size, -1)
    return cut.mean(axis=(1, 3))


def log(browser: Any) -> list[Any]:
    """What the console has said since it was last asked."""
    return list(browser.get_log("browser"))


@pytest.mark.parametrize("size", [(1280, 800), (390, 844)])
def test_the_end_shows_the_whole_drawing_as_the_png_does(
    opened: Open, plot: Plot, size: tuple[int, int]
) -> None:
    browser = opened(size, LIGHT)
    mine = sheet_seen(browser)
    png = sheet_drawn(browser, plot.drawing, plot)
    assert mine.shape == png.shape
    assert mine.min() < 120
    assert np.abs(mine - png).mean() < 1.5  # of 255
    # Where many thin lines cross in one place the page takes them for neighbours, and is darker.
    far = np.abs(blocks(mine, 6) - blocks(png, 6)).max(axis=2)
    assert np.percentile(far, 99) < 10
    assert (far > 20).mean() < 0.002
    assert log(browser) == []


def test_near_by_it_agrees_with_the_png_too(opened: Open, plot: Plot) -> None:
    browser = opened((900, 700), LIGHT)
    for _ in range(4):
        browser.find_element("id", "nearer").click()
    drawn(browser)
    scale, left, top, width, height = browser.execute_script(
        "const v = replay.view; return [v.scale, v.left, v.top, v.width, v.height]"
    )
    window = shapely.box(left, top - height / scale, left + width / scale, top)
    png = pixels(plot.drawing, dpi=scale * 25.4, page=window).astype(float)
    mine = seen(browser)[..., :3]
    assert mine.shape == png.shape
    inked = np.abs(png - png.max(axis=(0, 1))).max(axis=2) > 30
    assert inked.mean() > 0.02
    assert np.abs(mine - png)[inked].mean() < 12
    assert np.abs(mine - png).mean() < 1.5


def test_half_way_it_shows_what_is_drawn_by_then_and_back_again(opened: Open, plot: Plot) -> None:
    browser = opened((1000, 700), LIGHT)
    whole = sheet_seen(browser)
    browser.execute_script("replay.seek(replay.duration * 0.55)")
    drawn(browser)
    half = sheet_seen(browser)
    count = int(np.searchsorted(_ends(plot), plot.duration * 0.55, side="right"))
    assert 10 < count < len(plot.drawing) - 10
    png = sheet_drawn(browser, plot.drawing[: count + 1], plot)
    before = sheet_drawn(browser, plot.drawing[:count], plot)
    assert np.abs(half - png).mean() < 1.0
    assert np.abs(half - before).mean() < 1.0
    browser.execute_script("replay.seek(replay.duration)")
    drawn(browser)
    assert np.abs(sheet_seen(browser) - whole).max() <= 2
    for share in (0.97, 0.95, 0.9, 1.0):  # ink is taken away stroke by stroke
        browser.execute_script("replay.seek(replay.duration * arguments[0])", share)
        drawn(browser)
    assert np.abs(sheet_seen(browser) - whole).max() <= 2


def _ends(plot: Plot) -> np.ndarray:
    from plotlib.preview.timeline import timeline

    times = timeline(plot)
    return times.begins + times.draws


def test_it_is_driven_by_keys_alone(opened: Open, plot: Plot) -> None:
    from selenium.webdriver import ActionChains, Keys

    browser = opened((1280, 800), LIGHT)

    def press(*keys: str) -> None:
        ActionChains(browser).send_keys(*keys).perform()
        time.sleep(0.1)

    order = []
    for _ in range(10):
        press(Keys.TAB)
        here = browser.execute_script(FOCUSED)
        order.append(here["id"])
        assert here["ring"] >= 2, here
    wanted = ["desk", "nearer", "farther", "fit", "play", "slider", "pace", "travel", "ruler", ""]
    assert order == wanted
    browser.execute_script("document.getElementById('slider').focus()")
    press(Keys.HOME)
    drawn(browser)
    assert browser.execute_script("return replay.time") == 0
    assert sheet_seen(browser).min() > 200
    press(Keys.END)
    drawn(browser)
    assert browser.execute_script("return replay.time") == pytest.approx(plot.duration, rel=1e-6)
    browser.execute_script("document.getElementById('desk').focus()")
    press(" ")
    time.sleep(0.7)
    assert browser.execute_script("return replay.playing")
    press(" ")
    assert not browser.execute_script("return replay.playing")
    assert 0 < browser.execute_script("return replay.time") < plot.duration
    told = browser.find_element("id", "told").get_attribute("textContent")
    assert told.startswith("paused: ")
    scale = browser.execute_script("return replay.view.scale")
    left = browser.execute_script("return replay.view.left")
    press("+", Keys.ARROW_RIGHT)
    assert browser.execute_script("return replay.view.scale") == pytest.approx(scale * 1.5)
    assert browser.execute_script("return replay.view.left") > left
    press("0", "t")
    assert browser.execute_script("return replay.view.scale") == pytest.approx(scale)
    assert browser.find_element("id", "travel").is_selected()
    press(".")
    drawn(browser)
    assert min(abs(_ends(plot) - browser.execute_script("return replay.time"))) < 1e-3
    assert log(browser) == []


FOCUSED = """
const node = document.activeElement, style = getComputedStyle(node);
return {id: node.id, ring: style.outlineStyle === "none" ? 0 : parseFloat(style.outlineWidth)};
"""


def test_travel_and_ruler_come_and_go(opened: Open) -> None:
    browser = opened((1000, 700), LIGHT)

    def marked(canvas: str) -> int:
        drawn(browser)
        return int(np.count_nonzero(seen(browser, canvas)[..., 3]))

    assert marked("ways") == 0
    whole = marked("over")
    browser.find_element("id", "travel").click()
    assert marked("ways") > 1000
    browser.find_element("id", "ruler").click()
    assert marked("over") < whole / 2
    browser.execute_script("replay.seek(replay.duration / 3)")
    assert 0 < marked("ways") < 1000
    browser.find_element("id", "travel").click()
    assert marked("ways") == 0


def test_the_wheel_goes_nearer_and_a_hand_moves_the_sheet(opened: Open) -> None:
    from selenium.webdriver import ActionChains

    browser = opened((1000, 700), LIGHT)
    desk = browser.find_element("id", "desk")
    place = "const v = replay.view; return [v.scale, v.left, v.top]"
    scale, left, top = browser.execute_script(place)
    hand = ActionChains(browser).move_to_element(desk).click_and_hold()
    hand.move_by_offset(60, 30).release().perform()
    moved = browser.execute_script(place)
    assert moved == pytest.approx([scale, left - 60 / scale, top + 30 / scale])
    wheel = "new WheelEvent('wheel', {deltaY: -400, clientX: 300, clientY: 300, bubbles: true})"
    browser.execute_script(f"document.getElementById('desk').dispatchEvent({wheel})")
    assert browser.execute_script(place)[0] == pytest.approx(scale * np.e)
    browser.find_element("id", "fit").click()
    assert browser.execute_script(place) == pytest.approx([scale, left, top])


@pytest.mark.parametrize("media", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("size", [(1280, 800), (390, 844)], ids=["wide", "narrow"])
def test_contrast_is_that_of_wcag_aa(
    opened: Open, media: dict[str, str], size: tuple[int, int]
) -> None:
    """WCAG 2.2, success criteria 1.4.3 (text 4.5 to 1) and 1.4.11 (controls, focus 3 to 1), by
    the definition of relative luminance in its glossary.
    """
    browser = opened(size, media)
    browser.find_element("tag name", "summary").click()
    pairs = browser.execute_script(TEXTS)
    assert len(pairs) > 25
    for text_, front, back in pairs:
        assert ratio(front, back) >= 4.5, (text_, front, back)
    for front, back in browser.execute_script(EDGES):
        assert ratio(front, back) >= 3, (front, back)
    overflow = "return document.documentElement.scrollWidth - innerWidth"
    assert browser.execute_script(overflow) <= 0


TEXTS = """
const found = [];
const ground = (node) => {
  for (; node; node = node.parentElement) {
    const colour = getComputedStyle(node).backgroundColor;
    if (!/, 0\\)$/.test(colour) && colour !== "transparent") return colour;
  }
};
const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walk.nextNode()) {
  const node = walk.currentNode.parentElement;
  if (!walk.currentNode.data.trim() || node.closest("script, noscript, #told")) continue;
  found.push([walk.currentNode.data, getComputedStyle(node).color, ground(node)]);
}
return found;
"""
EDGES = """
const root = getComputedStyle(document.documentElement);
const colour = (name) => {
  const probe = document.createElement("i");
  probe.style.color = `var(${name})`;
  document.body.append(probe);
  const value = getComputedStyle(probe).color;
  probe.remove();
  return value;
};
return [["--press", "--card"], ["--press", "--room"], ["--line", "--card"], ["--mark", "--card"]]
  .map((pair) => pair.map(colour));
"""


def ratio(front: str, back: str) -> float:
    one, other = (luminance(colour) for colour in (front, back))
    return (max(one, other) + 0.05) / (min(one, other) + 0.05)


def luminance(colour: str) -> float:
    parts = [float(part) for part in colour[colour.index("(") + 1 : -1].split(",")[:3]]
    linear = [
        p / 255 / 12.92 if p <= 0.04045 * 255 else ((p / 255 + 0.055) / 1.055) ** 2.4 for p in parts
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_every_control_has_a_name_and_the_slider_tells_where_it_is(opened: Open) -> None:
    browser = opened((1280, 800), LIGHT)
    names = browser.execute_script(
        "return [...document.querySelectorAll('button, input, select, canvas[role], [tabindex]')]"
        ".map((n) => n.getAttribute('aria-label') || n.labels?.[0]?.textContent || n.textContent)"
    )
    assert len(names) >= 9
    assert all(name.strip() for name in names)
    browser.execute_script("replay.seek(replay.duration / 2)")
    drawn(browser)
    slider = browser.find_element("id", "slider")
    value = slider.get_attribute("aria-valuetext")
    assert "min" in value
    assert "of 114 strokes" in value
    assert "pen blue" in value
    bars = browser.execute_script(
        "return [...document.querySelectorAll('progress')].map(p => p.value)"
    )
    assert bars[0] > 0
    assert bars[1:] == [0, 0]


def test_who_wants_no_motion_gets_steps(opened: Open) -> None:
    counts = {}
    for name, media in (("calm", (LIGHT, CALM)), ("lively", (LIGHT,))):
        browser = opened((600, 500), *media)
        counts[name] = browser.execute_async_script(MOMENTS)
    steps, seconds = counts["calm"]
    assert steps <= seconds + 2
    steps, seconds = counts["lively"]
    assert steps > seconds + 2
    assert log(browser) == []


MOMENTS = """
const done = arguments[0], times = new Set(), began = performance.now();
replay.seek(0);
replay.start();
const look = (now) => {
  times.add(replay.time);
  if (now - began < 1600) return requestAnimationFrame(look);
  replay.stop();
  done([times.size, (now - began) / 1000]);
};
requestAnimationFrame(look);
"""


def test_light_ink_on_dark_paper_is_as_in_the_png(browser: Any, tmp_path: Path) -> None:
    white = Pen("white", width=1.5, colour="#ffffff", opacity=0.8)
    drawing = Drawing(
        [[(20, 20), (100, 90), (100, 20), (20, 90)], [(20, 50), (110, 50)]], pen=white
    )
    plot = plan(drawing, machine(), sheet=Sheet(120, 110))
    page(plot, tmp_path / "plot.html", paper="#203040")
    browser.get((tmp_path / "plot.html").as_uri())
    drawn(browser)
    mine = sheet_seen(browser)
    scale = browser.execute_script("return replay.view.scale")
    png = pixels(plot, dpi=scale * 25.4, paper="#203040").astype(float)
    rows = min(len(mine), len(png))
    columns = min(mine.shape[1], png.shape[1])
    assert mine.max() > 240
    assert np.abs(mine[:rows, :columns] - png[:rows, :columns]).mean() < 2


def test_an_empty_plot_is_an_empty_sheet(opened: Open) -> None:
    browser = opened((900, 600), DARK, of=plan(Drawing(), machine()))
    assert sheet_seen(browser).min() > 200
    browser.execute_script("replay.seek(0); replay.start()")
    time.sleep(0.2)
    drawn_text = browser.find_element("id", "penlist").text
    assert drawn_text == "Nothing is drawn."
    assert log(browser) == []


TAG = shapely.Polygon([(0, 15), (25, 0), (90, 0), (90, 60), (25, 60)]).difference(
    shapely.Point(22, 30).buffer(6)
)


@pytest.mark.parametrize(
    "sheet",
    [Sheet.round(90, at=(20, 10)), Sheet(90, 60, at=(60, 10), angle=30), Sheet.from_area(TAG)],
    ids=["round", "turned", "cut"],
)
def test_a_sheet_of_another_shape_lies_there_as_in_the_png(opened: Open, sheet: Sheet) -> None:
    ink = fills.hatch(sheet.area, spacing=4, pen=RED)
    plot = plan(ink, machine(), sheet=sheet)
    browser = opened((900, 700), LIGHT, of=plot)
    scale, left, top, width, height = browser.execute_script(
        "const v = replay.view; return [v.scale, v.left, v.top, v.width, v.height]"
    )
    window = shapely.box(left, top - height / scale, left + width / scale, top)
    png = pixels(plot, dpi=scale * 25.4, page=window).astype(float)
    mine = seen(browser)
    x, y = np.meshgrid(
        left + (np.arange(width) + 0.5) / scale, top - (np.arange(height) + 0.5) / scale
    )
    edge = shapely.boundary(sheet.on_bed)
    away = shapely.distance(edge, shapely.points(x, y)) * scale  # px
    inside = shapely.contains_xy(sheet.on_bed, x, y)
    clear = away > 1.5
    assert (mine[inside & clear][:, 3] == 255).all()
    assert (mine[~inside & clear][:, 3] == 0).all()
    assert np.abs(mine[..., :3] - png)[inside & clear].mean() < 1.5  # of 255
    assert 60 < mine[away < 0.4][:, 3].mean() < 195  # half of these pixels is paper
    under = seen(browser, "under")[..., 3]  # the paper with its shadow
    assert (under[inside & clear] == 255).all()
    assert log(browser) == []
