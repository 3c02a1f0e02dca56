"""Makes the gallery: each demo spec's drawing in three forms, its check, its order list, and a page of them."""

from __future__ import annotations

from pathlib import Path

import rigline
from rigline.outputs.order_text import order_text
from rigline.outputs.text import report_text

FORMS = ("svg", "pdf", "png")
NOTES = ("trailer", "camper")
"""Demo specs whose build notes are kept."""
ABOUT = {
    "lights": ("Camping box", "The smallest useful system: three loads. Look at what was sized."),
    "trailer": ("Bicycle repair trailer", "24 V with sun, an inverter and one AC circuit. Look at W4, W6 and W8: their "
                "wires were left open and are marked `sized`."),
    "boat": ("Day boat", "12 V, an engine with its own battery, a shore charger. Look at the starter: it has no fuse, "
             "and needs none."),
    "cabin": ("Forest cabin", "48 V, two batteries with a fuse each, a generator, an earth electrode. Look at the one "
              "neutral bond in the panel."),
    "camper": ("Family camper", "About forty components: sun, engine, shore, an inverter-charger, twelve loads."),
    "faulty": ("Van wired in a hurry", "Faulty on purpose: missing fuses, no bonds, oversized fuses. Look at the "
               "numbered flags and the list."),
}  # fmt: skip
"""Demo spec -> its name and what to look at. Every spec in specs/ must be here."""


def gallery_files(spec: Path) -> dict[str, bytes]:
    """Everything the gallery holds of one spec, by file name."""
    system = rigline.read(spec)
    drawing = rigline.draw(system)
    files: dict[str, bytes] = {}
    for form in FORMS:
        files.update(drawing.files(f"{spec.stem}.{form}", form))
    if spec.stem in NOTES:
        sheets = [name for name in files if name.endswith(".svg")]
        notes = rigline.notes(system)
        files |= {f"{spec.stem}.notes.html": notes.html(), f"{spec.stem}.notes.md": notes.markdown(sheets).encode()}
    files[f"{spec.stem}.check.txt"] = report_text(rigline.check(system)).encode()
    files[f"{spec.stem}.parts.txt"] = order_text(rigline.order(system)).encode()
    return files


def symbol_files() -> dict[str, bytes]:
    """The symbol sheets of both sets."""
    from rigline.drawing.symbol_sheet import symbol_sheet

    return {f"symbols-{style}.svg": symbol_sheet(style).encode() for style in ("iec", "ieee")}


def gallery_page(names: dict[str, list[str]]) -> bytes:
    """The page that shows every drawing with what to look at.

    Args:
        names: Demo spec -> file names of its SVG sheets.
    """
    lines = ["# Gallery", "", "Made from `specs/` by `python -m pytest tests/gallery --update-gallery`; a test keeps "
             "both alike. All systems are invented.", ""]  # fmt: skip
    for stem, (title, look) in ABOUT.items():
        lines += [f"## {title}", "", look, "", f"[Spec](../specs/{stem}.yaml), [PDF]({stem}.pdf), "
                  f"[check]({stem}.check.txt), [parts]({stem}.parts.txt)" + (
                      f", build notes ([page]({stem}.notes.html), [Markdown]({stem}.notes.md))" if stem in NOTES else ""
                  ), ""]  # fmt: skip
        lines += [f"![{title}, one-line diagram]({name})" for name in names[stem]] + [""]
    lines += [
        "## Symbols",
        "",
        "![IEC 60617 style](symbols-iec.svg)",
        "",
        "![IEEE Std 315 style](symbols-ieee.svg)",
        "",
    ]
    return "\n".join(lines).encode()
