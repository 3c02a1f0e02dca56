"""The result of `order`."""

from __future__ import annotations

from rigline.ordering.order import Order as OrderOfLists
from rigline.results.forms import writer


class Order(OrderOfLists, frozen=True):
    """What to order, cut and borrow, as `order` returns it."""

    def text(self, form: str = "text") -> str:
        """The lists as text, csv, json or markdown.

        Raises:
            CommandError: There is no such form.
        """
        from rigline.outputs.order_json import order_json
        from rigline.outputs.order_text import ORDERS

        with self.study.system.shown():
            return writer({**ORDERS, "json": order_json}, form)(self)

    def _repr_html_(self) -> str:
        from rigline.outputs.fragment import order_html

        with self.study.system.shown():
            return order_html(self)


def order_of(order: OrderOfLists) -> Order:
    """The same lists as users get them."""
    return Order(*(getattr(order, name) for name in order.__struct_fields__))
