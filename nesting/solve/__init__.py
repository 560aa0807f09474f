"""From blanks and stock to cutting trees, bounds and layouts.

One door each way: `solve` takes a `Problem` (whose lumber `settle_forms` has sorted)
and a `Budget` and gives a `Result`; `lay_out` turns a tree of it into pieces and cuts,
`lay_out_all` all its trees as neatly as may be. `lay_out_again` finds other sheets for
a material.
"""

from nesting.solve.again import Again as Again
from nesting.solve.again import lay_out_again as lay_out_again
from nesting.solve.door import solve as solve
from nesting.solve.forms import settle_forms as settle_forms
from nesting.solve.lay_out_all import lay_out_all as lay_out_all
from nesting.solve.layout import lay_out as lay_out

__all__ = [
    "Again",
    "lay_out",
    "lay_out_again",
    "lay_out_all",
    "settle_forms",
    "solve",
]
