"""From layouts to steps: the order of cuts, their settings and their cautions."""

from nesting.sequence.order import Ordered as Ordered
from nesting.sequence.order import put_in_order as put_in_order

__all__ = ["Ordered", "put_in_order"]
