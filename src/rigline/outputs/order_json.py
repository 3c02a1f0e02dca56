"""The lists of an order as JSON, for programs."""

from __future__ import annotations

import json
from typing import Any

from rigline.ordering.ends import End
from rigline.ordering.item import Item, Question
from rigline.ordering.order import Order
from rigline.ordering.pieces import Piece
from rigline.ordering.wire import Purchase


def order_json(order: Order) -> str:
    """Every list as one object."""
    head = order.study.system.head
    value = {
        "spec": order.study.system.file,
        "title": head.title,
        "revision": head.revision,
        "profile": head.profile,
        "stage": order.study.system.stage,
        "first": [item_json(item) for item in order.first],
        "questions": [question_json(question) for question in order.questions],
        "components": [
            {**item_json(group.item), "mass_kg": group.mass_kg, "price": group.price, "currency": group.currency}
            for group in order.components
        ],
        "wire": [purchase_json(one) for one in order.wire],
        "lugs": [item_json(item) for item in order.lugs],
        "open_lugs": [item_json(item) for item in order.open_lugs],
        "fittings": [item_json(item) for item in order.fittings],
        "fuses": [item_json(item) for item in order.fuses],
        "routing": [item_json(item) for item in order.routing],
        "cuts": [piece_json(piece) for piece in order.cuts],
        "tools": [{"what": item.what, "note": item.note} for item in order.tools],
        "mass": {
            "components_kg": _rounded(order.mass.components_kg),
            "wire_kg": _rounded(order.mass.wire_kg),
            "known_kg": _rounded(order.mass.known_kg),
            "unknown": list(order.mass.unknown),
            "unknown_wire": list(order.mass.unknown_wire),
        },
        "price": {
            "totals": dict(order.price.totals), "priced": order.price.priced, "unpriced": order.price.unpriced,
        },
    }  # fmt: skip
    return json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def item_json(item: Item) -> dict[str, Any]:
    """An item as an object."""
    return {
        "what": item.what, "count": _rounded(item.count), "unit": item.unit, "for": list(item.at),
        "state": item.state, "note": item.note,
    }  # fmt: skip


def question_json(question: Question) -> dict[str, Any]:
    """A question as an object."""
    return {"ask": question.ask, "for": list(question.at), "until_then": question.until_then}


def purchase_json(one: Purchase) -> dict[str, Any]:
    """Wire to buy as an object."""
    product = one.product
    return {
        "wire": product.size.text, "colour": product.colour, "cores": list(product.cores),
        "insulation_c": product.insulation_c, "strand": product.strand, "sunlight_resistant": product.sunlight,
        "material": product.material, "state": one.state, "cut_m": _rounded(one.cut_m), "need_m": _rounded(one.need_m),
        "rolls": list(one.rolls), "unit": one.unit, "runs": list(one.runs),
    }  # fmt: skip


def piece_json(piece: Piece) -> dict[str, Any]:
    """A piece to cut as an object."""
    return {
        "id": piece.id, "run": piece.run, "cores": list(piece.cores), "count": piece.count,
        "wire": None if piece.size is None else piece.size.text, "sized": piece.sized, "colour": piece.colour,
        "length_m": _rounded(piece.length_m), "cut_m": _rounded(piece.cut_m), "state": piece.state,
        "start": _end(piece.start, piece), "end": _end(piece.end, piece),
    }  # fmt: skip


def _end(end: End, piece: Piece) -> dict[str, Any]:
    return {
        "at": end.place, "component": end.component, "landing": end.landing,
        "stud": None if end.stud is None else end.stud.text, "fitting": end.fitting(piece.size, piece.solid),
    }  # fmt: skip


def _rounded(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.6g}")
