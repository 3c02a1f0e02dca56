"""Places of a module where one slip of the hand changes what it computes: a comparison, a number, a sign, a word."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

COMPARISONS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.LtE), ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.Is: (ast.IsNot,), ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,), ast.NotIn: (ast.In,),
}  # fmt: skip
"""An order is turned at its boundary and as a whole."""
OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult
}  # fmt: skip
WORDS: dict[type[ast.boolop], type[ast.boolop]] = {ast.And: ast.Or, ast.Or: ast.And}
LARGER = 1.5
"""What a number with a fraction is multiplied by; a whole number becomes the next one."""


@dataclass(frozen=True)
class Site:
    """One place and what is done to it."""

    line: int
    what: str
    spoil: Callable[[], None]
    """Changes the tree that the site was found in."""


def sites(tree: ast.Module) -> list[Site]:
    """Every site of a module, in a fixed order; annotations and texts are left alone."""
    return list(_below(tree))


def spoilt(path: Path, index: int) -> ast.Module:
    """The module with one of its sites spoilt."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    sites(tree)[index].spoil()
    return ast.fix_missing_locations(tree)


def _below(node: ast.AST) -> Iterator[Site]:
    yield from _at(node)
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "type_params"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST) and not _only_for_types(child):
                yield from _below(child)


def _only_for_types(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"


def _at(node: ast.AST) -> Iterator[Site]:
    match node:
        case ast.Compare():
            for at, operator in enumerate(node.ops):
                for other in COMPARISONS[type(operator)]:
                    yield _changed(node, f"compare {_name(operator)} -> {other.__name__}", node.ops, at, other())
        case ast.BinOp() if type(node.op) in OPERATORS and not _of_text(node):
            yield _set(node, "op", OPERATORS[type(node.op)]())
        case ast.BoolOp():
            yield _set(node, "op", WORDS[type(node.op)]())
        case ast.AugAssign() if type(node.op) in OPERATORS:
            yield _set(node, "op", OPERATORS[type(node.op)]())
        case ast.UnaryOp(op=ast.Not()):
            yield _set(node, "op", ast.UAdd(), "truth of ")
        case ast.Constant(value=bool() | int() | float() as value):
            yield _set(node, "value", _other(value))
        case ast.Return(value=ast.expr() as value) if not isinstance(value, ast.Constant):
            yield _set(node, "value", ast.Constant(None), "return ")


def _name(operator: ast.AST) -> str:
    return type(operator).__name__


def _other(value: bool | int | float) -> bool | int | float:
    if isinstance(value, bool):
        return not value
    return value + 1 if isinstance(value, int) or value == 0 else value * LARGER


def _of_text(node: ast.BinOp) -> bool:
    """Joined texts aren't sums."""
    constants = [side.value for side in (node.left, node.right) if isinstance(side, ast.Constant)]
    return any(isinstance(side, ast.JoinedStr) for side in (node.left, node.right)) or any(
        isinstance(value, str) for value in constants
    )


def _changed(node: ast.Compare, what: str, ops: list[ast.cmpop], at: int, other: ast.cmpop) -> Site:
    return Site(node.lineno, what, lambda: ops.__setitem__(at, other))


def _set(node: ast.expr | ast.stmt, name: str, new: object, what: str = "") -> Site:
    old = getattr(node, name)
    return Site(node.lineno, f"{what}{_text(old)} -> {_text(new)}", lambda: setattr(node, name, new))


def _text(value: object) -> str:
    if isinstance(value, ast.operator | ast.boolop | ast.unaryop):
        return _name(value)
    return ast.unparse(value)[:40] if isinstance(value, ast.AST) else repr(value)
