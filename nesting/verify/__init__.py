"""The checker: a plan in, the rules it breaks out. It trusts nothing it is handed.

`verify` replays every cut of a plan on virtual stock, in exact integers, and holds what
comes out against what the plan says. It knows no other room, so that no mistake of the
rooms that made the plan can hide in it. `Rule` lists the rules by name.
"""

from nesting.verify.check import verify as verify
from nesting.verify.rules import Rule as Rule
