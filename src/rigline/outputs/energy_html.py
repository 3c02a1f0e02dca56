"""The energy report as one page: the plot and every table, without script, nothing loaded from elsewhere."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from html import escape

from rigline.energy.report_facts import EnergyReport
from rigline.outputs.energy_plot import PlotMissing, plot_svg
from rigline.outputs.energy_report import Block, Item, Section, Table, sections

STYLE = """
body {font-family: "Liberation Sans", Arial, Helvetica, sans-serif; color: #1f2a36; max-width: 60rem; margin: 1rem auto;
  padding: 0 1rem; line-height: 1.4}
svg {width: 100%; height: auto}
.wide {overflow-x: auto}
table {border-collapse: collapse; margin: .5rem 0}
th, td {border-bottom: 1px solid #bbb; padding: .2rem .6rem; text-align: left; vertical-align: bottom}
.right {text-align: right; white-space: nowrap}
@media print {body {max-width: none}}
"""


def plot_html(report: EnergyReport) -> str:
    """The page; its balance must have a year."""
    title = escape(report.balance.system.head.title or "untitled")
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Energy of {title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<h1>Energy of {title}</h1>\n"
        + energy_body(report, plot_svg(report))
        + "\n</body>\n</html>\n"
    )


def energy_body(report: EnergyReport, plot: str) -> str:
    """Every table of the report as HTML, with the plot behind the first."""
    first, *rest = sections(report)
    return "\n".join([*_section(first), plot, *(line for section in rest for line in _section(section))])


def energy_fragment(report: EnergyReport) -> str:
    """Every table for a page of somebody else, and the plot if there is a year and the plot library."""
    plot = []
    if report.balance.year is not None:
        with suppress(PlotMissing):
            plot = [plot_svg(report)]
    first, *rest = sections(report)
    heading = f"<h4>Energy of {escape(report.balance.system.head.title or 'untitled')}</h4>"
    body = [heading, *_section(first), *plot, *(line for section in rest for line in _section(section))]
    return f'<div class="rigline">{"".join(body)}</div>'


def _section(section: Section) -> Iterator[str]:
    yield f"<h2>{escape(section.title)}</h2>"
    yield from _blocks(section.blocks)


def _blocks(blocks: Sequence[Block]) -> Iterator[str]:
    items: list[str] = []
    for block in blocks:
        if isinstance(block, Item):
            items.append(f"<li>{escape(block.text)}</li>")
            continue
        yield from _list(items)
        items = []
        yield _table(block) if isinstance(block, Table) else f"<p>{escape(block)}</p>"
    yield from _list(items)


def _list(items: Sequence[str]) -> Iterator[str]:
    if items:
        yield f"<ul>{''.join(items)}</ul>"


def _table(table: Table) -> str:
    def cells(row: Sequence[str], tag: str) -> str:
        pairs = zip(table.columns, row, strict=True)
        return "".join(f"<{tag}{_side(name in table.right)}>{escape(cell)}</{tag}>" for name, cell in pairs)

    rows = "".join(f"<tr>{cells(row, 'td')}</tr>" for row in table.rows)
    return f'<div class="wide"><table><tr>{cells(table.columns, "th")}</tr>{rows}</table></div>'


def _side(right: bool) -> str:
    return ' class="right"' if right else ""
