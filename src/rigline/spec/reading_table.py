"""A table as people keep it in a spreadsheet becomes the same nodes as a YAML spec, each at its row and column.

Above the row of headings stand facts of the whole system (`title | My boat`, `conditions | ambient | 35 °C`); below it
one row for each component with the wire that feeds it. Rows with the same run are one path.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from msgspec import Struct, field

from rigline.errors import Problem, SpecError
from rigline.kinds import KINDS
from rigline.spec.document import Conditions, Defaults, Head, Place, RunSpec, Supply
from rigline.spec.fields import FieldForm, keys_of
from rigline.spec.reading_nodes import Mark, Node, Pairs, Scalar, refusal
from rigline.spec.references import component_of
from rigline.spec.table_cells import Grid, header_row, is_remark, plain_cell
from rigline.spec.table_columns import WHOLE_LENGTH, Column, UnknownColumn, column_of, component_keys

LISTS: Final = ("waivers", "revisions", "parts")
"""Sections whose entries are numbered in their second cell."""
RECORDS: Final[Mapping[str, type]] = {"conditions": Conditions, "defaults": Defaults, "supply": Supply, "places": Place}
SEPARATOR: Final = ";"
"""Between the items of a list in one cell."""
REMEDY: Final = "see one: rigline new --from trailer --table"


class Cell(Struct, frozen=True):
    """A cell that isn't empty, with its place."""

    text: str
    mark: Mark


class Feed(Struct):
    """A run in the making."""

    path: list[Node]
    lengths: list[Cell | None]
    mark: Mark
    keys: dict[str, tuple[Node, Node]] = field(default_factory=dict)
    whole: Cell | None = None
    last: str = ""
    """The component that the path has come to."""


class Table(Struct):
    """The pieces of a spec, gathered row by row."""

    name: str
    top: dict[str, tuple[Node, Node]] = field(default_factory=dict)
    components: dict[str, dict[str, tuple[Node, Node]]] = field(default_factory=dict)
    marks: dict[str, Mark] = field(default_factory=dict)
    feeds: list[Feed] = field(default_factory=list)
    runs: dict[str, Feed] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def report(self, mark: Mark, where: str, message: str, got: str = "", remedy: str = "") -> None:
        """Note a problem at a row and column."""
        self.problems.append(Problem(self.name, *mark, where, message, got=got, remedy=remedy))


def read_table(grid: Grid, name: str) -> Node:
    """The nodes of a table.

    Raises:
        SpecError: With every problem of its headings and rows.
    """
    heading = header_row(grid)
    if heading is None:
        message = "no row names the columns: there must be one with id, kind and from"
        raise refusal(name, Mark(1, 1), message, REMEDY)
    table = Table(name)
    for number, row in enumerate(grid[:heading], 1):
        if not is_remark(row):
            _head_row(table, _cells(row, number))
    columns = _columns(table, grid[heading], heading + 1)
    for number, row in enumerate(grid[heading + 1 :], heading + 2):
        if not is_remark(row):
            _row(table, columns, row, number)
    if table.problems:
        raise SpecError(table.problems)
    return _whole(table)


def _cells(row: list[str], number: int) -> list[Cell]:
    return [Cell(plain_cell(text), Mark(number, at)) for at, text in enumerate(row, 1) if plain_cell(text)]


def _columns(table: Table, row: list[str], number: int) -> dict[int, Column]:
    found: dict[int, Column] = {}
    for cell in _cells(row, number):
        try:
            column = column_of(cell.text)
        except UnknownColumn as unknown:
            near = f"did you mean {unknown}?" if str(unknown) else "delete it, or begin its heading's row with #"
            table.report(cell.mark, f"column {cell.text}", "there is no such column", remedy=near)
            continue
        if any((column.owner, column.path) == (other.owner, other.path) for other in found.values()):
            table.report(
                cell.mark, f"column {cell.text}", "this column stands there twice", remedy="keep one of the two"
            )
        found[cell.mark.column] = column
    return found


def _head_row(table: Table, cells: list[Cell]) -> None:
    """A fact of the whole system: its key, the keys within it, and its value."""
    keys, value = cells[:-1], cells[-1]
    if cells[0].text == "places" and len(cells) == 2:
        keys, value = cells, Cell("", cells[-1].mark)
    if not keys:
        remedy = "put the value into the next cell, as in title | My boat; begin a remark with #"
        table.report(value.mark, value.text, "a fact above the headings has a value beside it", remedy=remedy)
        return
    inner = table.top
    for place, key in enumerate(keys):
        if place == len(keys) - 1 and value.text:
            if key.text in inner:
                table.report(
                    key.mark, " ".join(k.text for k in keys), "this is given twice", remedy="keep one of the two"
                )
                return
            inner[key.text] = (Node(key.text, key.mark), _head_value([k.text for k in keys], value))
            return
        node = inner.setdefault(key.text, (Node(key.text, key.mark), Node(Pairs([]), key.mark)))[1]
        if not isinstance(node.value, Pairs):
            table.report(key.mark, key.text, "this has a value of its own already", remedy="keep one of the two")
            return
        inner = _Within(node.value)


class _Within(dict[str, tuple[Node, Node]]):
    """The pairs of a node as a dict, which grows with it."""

    def __init__(self, pairs: Pairs) -> None:
        super().__init__({str(key.value): (key, value) for key, value in pairs.pairs})
        self._pairs = pairs

    def __setitem__(self, key: str, value: tuple[Node, Node]) -> None:
        super().__setitem__(key, value)
        self._pairs.pairs.append(value)

    def setdefault(self, key: str, default: tuple[Node, Node]) -> tuple[Node, Node]:
        if key not in self:
            self[key] = default
        return self[key]


def _head_value(keys: list[str], cell: Cell) -> Node:
    record = RECORDS.get(keys[0], Head if len(keys) == 1 else None)
    forms = keys_of(record).get(keys[-1], ()) if record else ()
    return _value(cell, cell.text, forms)


def _value(cell: Cell, text: str, forms: tuple[FieldForm, ...]) -> Node:
    """A cell by the form of its key: a list where the key takes one, true and false where it takes those."""
    takes = {form.form for form in forms} | ({"truth"} if any(form.truth_too for form in forms) else set())
    if takes & {"texts", "amounts"} and SEPARATOR in text:
        return Node([Node(item.strip(), cell.mark) for item in text.split(SEPARATOR)], cell.mark)
    truths: dict[str, Scalar] = {"true": True, "false": False}
    return Node(truths.get(text.casefold(), text) if "truth" in takes else text, cell.mark)


def _row(table: Table, columns: Mapping[int, Column], row: list[str], number: int) -> None:
    cells = {cell.mark.column: cell for cell in _cells(row, number)}
    for at, cell in cells.items():
        if at not in columns and at > max(columns, default=0):
            table.report(cell.mark, "", "this cell stands beyond the last heading", got=cell.text, remedy="delete it")
    named: dict[tuple[str, tuple[str, ...]], tuple[Cell, Column]] = {
        (columns[at].owner, columns[at].path): (cell, columns[at]) for at, cell in cells.items() if at in columns
    }
    own = {path[0]: cell for (owner, path), (cell, _) in named.items() if owner == "table"}
    if "id" not in own:
        first = next(iter(cells.values()))
        remedy = "give it one; begin the row with # if it is a remark"
        table.report(Mark(number, 1), "column id", "a row has the id of a component", got=first.text, remedy=remedy)
        return
    _component(table, own["id"], own.get("kind"), list(_pairs(named, "component", own)))
    _feed(table, own, list(_pairs(named, "run", own)), (length := named.get(("table", ("length",)))) and length[1])


def _pairs(
    named: Mapping[tuple[str, tuple[str, ...]], tuple[Cell, Column]], owner: str, own: Mapping[str, Cell]
) -> Iterator[tuple[tuple[str, ...], Node, Node]]:
    """Path, key and value of every cell of an owner in a row."""
    kind = KINDS.get(own["kind"].text) if "kind" in own else None
    for (whose, path), (cell, column) in named.items():
        if whose == owner:
            keys = keys_of(RunSpec) if owner == "run" else {**component_keys(), **(keys_of(kind) if kind else {})}
            forms = keys[path[0]]
            if len(path) > 1:
                forms = next(keys_of(form.record)[path[1]] for form in forms if form.record is not None)
            yield path, Node(path[-1], cell.mark), _value(cell, column.written(cell.text), forms)


def _component(table: Table, id: Cell, kind: Cell | None, fields: list[tuple[tuple[str, ...], Node, Node]]) -> None:
    first = id.text not in table.components
    found = table.components.setdefault(id.text, {})
    if first:
        table.marks[id.text] = id.mark
    if kind is not None:
        fields = [(("kind",), Node("kind", kind.mark), Node(kind.text, kind.mark)), *fields]
    for path, key, node in fields:
        if not first:
            _refuse_other(table, id.text, path, found, node)
        elif len(path) == 1:
            found[path[0]] = (key, node)
        else:
            _, outer = found.setdefault(path[0], (Node(path[0], key.mark), Node(Pairs([]), key.mark)))
            if isinstance(outer.value, Pairs):
                outer.value.pairs.append((key, node))
            else:
                table.report(node.mark, f"{id.text} {' '.join(path)}", f"{path[0]} has a value of its own already")


def _refuse_other(
    table: Table, id: str, path: tuple[str, ...], found: Mapping[str, tuple[Node, Node]], node: Node
) -> None:
    """A further row of a component says nothing else about it than its first."""
    there = found.get(path[0])
    if there is not None and len(path) == 1 and there[1].value == node.value:
        return
    line = table.marks[id].line
    remedy = "leave the cell empty: a further row with the same id is another feed; another component has another id"
    table.report(
        node.mark, f"{id} {' '.join(path)}", f"row {line} says what {id} is", got=str(node.value), remedy=remedy
    )


def _feed(
    table: Table, own: Mapping[str, Cell], keys: list[tuple[tuple[str, ...], Node, Node]], length: Column | None
) -> None:
    id, source = own["id"], own.get("from")
    if source is None:
        _refuse_feedless(table, own, keys)
        return
    feed = table.runs.get(own["run"].text) if "run" in own else None
    if feed is None:
        feed = Feed([Node(source.text, source.mark)], [], id.mark)
        table.feeds.append(feed)
        if "run" in own:
            run = own["run"]
            table.runs[run.text] = feed
            feed.keys["id"] = (Node("id", run.mark), Node(run.text, run.mark))
    elif component_of(source.text) != feed.last or source.text not in (feed.last, feed.path[-1].value):
        message = f"run {own['run'].text} has come to {feed.last} and goes on from there"
        table.report(source.mark, f"{id.text} from", message, source.text, "put its rows in order, or give another run")
        return
    feed.path.append(Node(_landing(id, own.get("terminal")), id.mark))
    feed.last = id.text
    cell = own.get("length")
    feed.lengths.append(Cell(length.written(cell.text), cell.mark) if cell and length else None)
    feed.whole = own.get(WHOLE_LENGTH, feed.whole)
    for path, key, node in keys:
        if path[0] in feed.keys and feed.keys[path[0]][1].value != node.value:
            before = feed.keys[path[0]][1].mark.line
            remedy = "one run has one; leave this cell empty, or give another run"
            table.report(
                node.mark, f"{id.text} {path[0]}", f"row {before} says otherwise for the same run", remedy=remedy
            )
        feed.keys.setdefault(path[0], (key, node))


def _refuse_feedless(table: Table, own: Mapping[str, Cell], keys: list[tuple[tuple[str, ...], Node, Node]]) -> None:
    """Facts about a wire in a row that has none."""
    marks = [(name, own[name].mark) for name in ("terminal", "run", "length", WHOLE_LENGTH) if name in own]
    for name, mark in [*marks, *((path[0], node.mark) for path, _, node in keys)]:
        message = "this is about the wire that feeds it, and column from is empty"
        table.report(mark, f"{own['id'].text} {name}", message, remedy="say in from where the wire comes from")


def _landing(id: Cell, terminal: Cell | None) -> str:
    if terminal is None:
        return id.text
    return id.text + terminal.text if terminal.text in ("+", "-") else f"{id.text}.{terminal.text.removeprefix('.')}"


def _whole(table: Table) -> Node:
    pairs = [_numbered(key, value) for key, value in table.top.values()]
    place = next(iter(table.marks.values()), Mark(1, 1))
    components = [
        (Node(id, table.marks[id]), Node(Pairs(list(fields.values())), table.marks[id]))
        for id, fields in table.components.items()
    ]
    pairs.append((Node("components", place), Node(Pairs(components), place)))
    if table.feeds:
        pairs.append((Node("runs", place), Node([_run(feed) for feed in table.feeds], place)))
    return Node(Pairs(pairs), Mark(1, 1))


def _numbered(key: Node, value: Node) -> tuple[Node, Node]:
    """A section whose entries are numbered, as a list."""
    if key.value in LISTS and isinstance(value.value, Pairs):
        return key, Node([item for _, item in value.value.pairs], value.mark)
    return key, value


def _run(feed: Feed) -> Node:
    pairs = [*feed.keys.values(), (Node("path", feed.mark), Node(list(feed.path), feed.mark))]
    if feed.whole is not None:
        pairs.append((Node("length", feed.whole.mark), Node(feed.whole.text, feed.whole.mark)))
    if any(feed.lengths):
        items = [Node(cell.text, cell.mark) if cell else Node("unknown", feed.mark) for cell in feed.lengths]
        key, value = ("length", items[0]) if len(items) == 1 else ("lengths", Node(list(items), items[0].mark))
        pairs.append((Node(key, value.mark), value))
    return Node(Pairs(pairs), feed.mark)
