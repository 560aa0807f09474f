"""From finished parts to the rough blanks they are cut as."""

from nesting.milling.movement import movements as movements
from nesting.milling.offer import Offered as Offered
from nesting.milling.offer import offer as offer
from nesting.milling.route import routes as routes
from nesting.milling.want import Mill as Mill

__all__ = ["Mill", "Offered", "movements", "offer", "routes"]
