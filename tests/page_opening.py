"""What the tests of the page share: sizes of screens, and the drawing of a spec made once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

from playwright.sync_api import Page, ViewportSize

from rigline import Drawing, draw, read

ROOT = Path(__file__).parent.parent
DESKTOP = ViewportSize(width=1440, height=900)
PHONE = ViewportSize(width=390, height=844)
"""A common phone, in CSS pixels."""

Open = Callable[..., Page]
"""Opens the page of a spec; `phone=True` on a phone, further options as for a browser's context."""


MIDDLE_OF_WIRE = """id => {
  const path = document.querySelector(`.sheet:not([hidden]) .wire[data-id="${id}"] path`);
  const point = path.getPointAtLength(path.getTotalLength() / 2);
  const on = point.matrixTransform(path.getScreenCTM());
  return [on.x, on.y];
}"""
"""Where a wire of the sheet in sight lies on the screen."""

CONTRASTS = """() => {
  const numbers = color => color.match(/[\\d.]+/g).map(Number);
  const luminance = rgb => rgb.slice(0, 3).map(c => c / 255)
    .map(c => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4)
    .reduce((sum, c, i) => sum + c * [0.2126, 0.7152, 0.0722][i], 0);
  const ground = element => {
    for (let at = element; at; at = at.parentElement) {
      const color = numbers(getComputedStyle(at).backgroundColor);
      if (color.length < 4 || color[3] === 1) return color;
    }
    return [255, 255, 255];
  };
  const poor = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  let seen = 0;
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    const unseen = element.closest('svg, script, style') || !element.checkVisibility();
    if (!walker.currentNode.data.trim() || unseen) continue;
    seen += 1;
    const [a, b] = [luminance(numbers(getComputedStyle(element).color)), luminance(ground(element))];
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) poor.push([element.tagName, element.textContent.slice(0, 30), ratio]);
  }
  return {seen, poor};
}"""
"""How many texts are in sight, and those that stand out from their ground by less than 4.5 : 1."""


@cache
def drawing(spec: Path) -> Drawing:
    """The drawing of a spec; made once, since many tests look at it."""
    return draw(read(spec))
