"""The rules of a sound plan, by the short names that a violation carries."""

from __future__ import annotations

from enum import StrEnum

from nesting.model.plan import Violation


class Rule(StrEnum):
    """A rule that a plan can break; the check that looks at it says it in full."""

    TYPE = "type"
    """Every field holds its kind of value, and no number is beyond 64 bits."""
    FORMAT = "format"
    """The plan is of the format this checker knows."""
    WORD = "word"
    """Where only certain words may stand, one of them does."""
    NUMBER = "number"
    """Sizes, quantities and money are not less than they can be."""
    ID = "id"
    """No two things of a kind have the same id, and none has an empty one."""
    STEP = "step"
    """The steps of the whole plan are numbered 1 to n, each once."""
    ORDER = "order"
    """The cuts of a layout stand in the order of their steps."""
    GLUEUP = "glueup"
    """What is glued up exists before, goes nowhere else, and is enough wood."""
    PIECE = "piece"
    """A cut takes a piece that exists and has not been cut yet."""
    AT = "at"
    """A cut lies on its piece, and divides it or takes something off."""
    MAKES = "makes"
    """A cut makes just the pieces that have a size, under new names."""
    REPLAY = "replay"
    """The pieces listed are those that the cuts make, in place and size."""
    FATE = "fate"
    """A piece has the fate `cut` if and only if it is cut."""
    BLANK = "blank"
    """A piece that is a part names its blank; no other piece names one."""
    SIZE = "size"
    """A part has the size of its blank."""
    GRAIN = "grain"
    """A blank whose grain matters lies along the grain of its stock."""
    MATERIAL = "material"
    """A blank is cut from stock of its material and section."""
    ZONE = "zone"
    """No damage is in a part or a kept offcut, no pith in a part, and no blemish in one
    that is to be clear."""
    HAUL = "haul"
    """What is too large to be carried home is cut at the store, before all else, and no
    part keeps what such a cut may be off."""
    RUN = "run"
    """The members of a run are neighbours in order, one kerf apart, turned alike."""
    EDGE = "edge"
    """No blank keeps a factory edge that is to be trimmed, or one that is rounded where
    it is to have square edges."""
    CROOK = "crook"
    """No part ripped from crooked lumber lies where its edge is not straight."""
    STOCK = "stock"
    """The stock of a layout is one that was offered, as it was offered."""
    LIMIT = "limit"
    """No stock is used more often than it can be had."""
    DEMAND = "demand"
    """As many of each blank are cut or listed as unplaced as are wanted."""
    ADVICE = "advice"
    """What the plan says of other ways to buy adds up."""
    ROUTE = "route"
    """A route leads from the blanks of a build to its part, in this shop."""
    PART = "part"
    """Every part has blanks, and one cut in one piece has a blank no smaller."""
    NEED = "need"
    """Blanks are those of the builds that were chosen, as many as these take."""
    SAW = "saw"
    """A cut is made by a saw of the shop that makes such cuts."""
    KERF = "kerf"
    """A cut loses the kerf of its saw, less only where it runs partly off an edge."""
    REACH = "reach"
    """A cut is within the reach of its saw."""
    MEASURE = "measure"
    """The measure of a cut is where the cut is."""
    SETTING = "setting"
    """A cut is made at a setting that says what the cut says."""
    CHANGES = "changes"
    """Settings are changed as often as is said, and no bound on that is above it."""
    PURCHASE = "purchase"
    """What is bought is what the layouts use, at the price of the offer."""
    TOTAL = "total"
    """The sums add up."""
    YIELD = "yield"
    """Where the stock goes adds up, for each material."""
    BOUND = "bound"
    """A bound weighs the stock in its scope and claims no more than it may."""
    CERTIFICATE = "certificate"
    """A certificate proves the bound that it belongs to."""
    CAUTION = "caution"
    """A caution that a step refers to is in the plan."""
    OVERLAP = "overlap"
    """No two pieces that remain of a layout share room."""
    OUTSIDE = "outside"
    """Every piece that remains lies within its stock."""
    SUM = "sum"
    """What remains and what the cuts lost are the whole stock."""


def broken(rule: Rule, where: str, what: str) -> Violation:
    """Return the violation of a rule, its name as plain text and each text one line."""
    return Violation(rule=rule.value, where=_one_line(where), what=_one_line(what))


def _one_line(text: str) -> str:
    """Return a text that any screen can show, whatever an id in it may hold."""
    if text.isprintable():
        return text
    return text.encode("unicode_escape").decode("ascii")
