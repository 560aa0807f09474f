"""Certificates: the proof of a bound done again, by arithmetic of this room alone.

What is claimed: no plan for the blanks in scope costs less than L. What is handed over:

* `vectors`: for each r a weight v[r][i] >= 0 of every blank i (missing: 0),
* `values`: for each r and each offer k a number h[r][k], at least what any one piece of
  that offer can hold of v[r], whatever way it is cut,
* `tree`: splits on how many pieces of an offer are taken, at most t or at least t + 1;
  each leaf has weights w[r] >= 0, in parts of `scale`.

A plan with n[k] pieces of offer k has sum h[r][k] n[k] >= need[r], what all blanks
together weigh. So at a leaf, where n[k] is from lo[k] to hi[k] and y = w / scale,

    cost >= sum y[r] need[r] + sum over k of min (c[k] - sum y[r] h[r][k]) n[k]

(linear duality), rounded up to a multiple of the greatest number that divides every
c[k]. The leaves cover all there is; the bound is the least of theirs.

What pieces of stock and blanks there are, what they cost, how they may lie and what a
saw wastes is read from the plan. Every h[r][k] is computed again (`patterns`), and so
is the sum at every leaf, in whole numbers. Nothing of the certificate is believed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from nesting.model.plan import Plan, PlanBound, Violation
from nesting.verify.patterns import check_values
from nesting.verify.pricing import (
    Pricing,
    Question,
    Refused,
    question_of,
    read_pricing,
)
from nesting.verify.rules import Rule, broken

MOST_NODES: Final = 20_000
"""Of a tree; with more it is too large to go through."""
MOST_VECTORS: Final = 256
MOST_BITS: Final = 4_096
"""Of a scale and of the weights of a leaf."""
MOST_WEIGHT: Final = 62
"""Bits of a weight of a blank, and of a value."""
_KEYS: Final = ("scale", "vectors", "values", "pricing", "tree")

Spans = dict[str, tuple[int, int | None]]
"""By offer: the least and the most pieces of it; None for no limit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate:
    """A certificate whose form is right."""

    scale: int
    vectors: tuple[Mapping[str, int], ...]
    values: tuple[Mapping[str, int], ...]
    pricing: Pricing
    tree: object


def check_certificate(plan: Plan, bound: PlanBound, where: str) -> Iterator[Violation]:
    """Prove a bound again from its certificate, if it has one (rule ``certificate``).

    Parameters
    ----------
    plan
        Of which every field holds its kind of value.
    bound
        One of its bounds.
    where
        What the bound is called in a message.

    Yields
    ------
    Violation
        One at most: for a certificate that has not the form of one, is too large to go
        through, claims a value that is too small, or does not give the bound.
    """
    if bound.certificate is None:
        return
    try:
        question = question_of(plan, bound)
        certificate = _read(bound.certificate, question)
        check_values(
            question, certificate.pricing, certificate.vectors, certificate.values
        )
        _climb(question, certificate, bound.lower_bound)
    except Refused as refusal:
        yield broken(Rule.CERTIFICATE, where, f"the certificate {refusal}")


# --- the form ------------------------------------------------------------------------


def _read(raw: Mapping[str, object], question: Question) -> Certificate:
    missing = [key for key in _KEYS if key not in raw]
    if missing:
        raise Refused(f"lacks {', '.join(missing)}")
    scale = raw["scale"]
    if type(scale) is not int or not 1 <= scale < 1 << MOST_BITS:
        raise Refused("has a scale that is no whole number above 0")
    vectors = _rows(raw["vectors"], "vectors", set(question.blanks))
    values = _rows(raw["values"], "values", set(question.offers))
    if len(vectors) != len(values):
        raise Refused("has not one row of values for each vector")
    if any(row.keys() != set(question.offers) for row in values):
        raise Refused("leaves an offer in scope without a value")
    return Certificate(
        scale=scale,
        vectors=vectors,
        values=values,
        pricing=read_pricing(raw["pricing"], question),
        tree=raw["tree"],
    )


def _rows(raw: object, name: str, known: set[str]) -> tuple[Mapping[str, int], ...]:
    if not isinstance(raw, list | tuple) or not 0 < len(raw) <= MOST_VECTORS:
        raise Refused(f"has {name} that are no list, none or far too many")
    rows: list[Mapping[str, int]] = []
    for row in raw:
        if not isinstance(row, dict) or not row.keys() <= known:
            raise Refused(f"has {name} of what is not in scope")
        for number in row.values():
            if type(number) is not int or not 0 <= number < 1 << MOST_WEIGHT:
                raise Refused(f"has {name} that are no whole numbers of 0 or more")
        rows.append(row)
    return tuple(rows)


# --- the tree ------------------------------------------------------------------------


def _climb(question: Question, certificate: Certificate, lower_bound: int) -> None:
    """Go through every branch; refuse the tree where a leaf proves too little."""
    needs = [
        sum(weight * question.blanks[name].qty for name, weight in row.items())
        for row in certificate.vectors
    ]
    step = math.gcd(*question.costs.values()) or 1
    start: Spans = {name: (0, each.limit) for name, each in question.offers.items()}
    stack: list[tuple[object, Spans]] = [(certificate.tree, start)]
    count = 0
    while stack:
        node, spans = stack.pop()
        count += 1
        if count > MOST_NODES:
            raise Refused(f"has a tree of more than {MOST_NODES} nodes: too large")
        if not isinstance(node, dict):
            raise Refused("has a tree with a branch that is missing")
        if "split" in node:
            stack += _branches(node, spans)
            continue
        weights = _weights(node, len(needs))
        if any(high is not None and low > high for low, high in spans.values()):
            continue  # nothing is left to take here
        proved = _proved(question, certificate, needs, weights, spans)
        unit = certificate.scale * step
        if proved is None or -(-proved // unit) * step < lower_bound:
            raise Refused(f"does not prove {lower_bound}: a leaf gives less")


def _branches(
    node: Mapping[str, object], spans: Spans
) -> tuple[tuple[object, Spans], tuple[object, Spans]]:
    """Return what lies behind a split, with the numbers that are left to take there."""
    name, at = node["split"], node.get("at")
    if not isinstance(name, str) or name not in spans:
        raise Refused("has a tree that splits on an offer which is not in scope")
    if type(at) is not int or at < 0 or at.bit_length() > MOST_WEIGHT:
        raise Refused("has a tree that splits at what is no number of pieces")
    low, high = spans[name]
    most = at if high is None else min(at, high)
    return (
        (node.get("most"), {**spans, name: (low, most)}),
        (node.get("more"), {**spans, name: (max(low, at + 1), high)}),
    )


def _weights(leaf: Mapping[str, object], count: int) -> Sequence[int]:
    weights = leaf.get("weights")
    if not isinstance(weights, list | tuple) or len(weights) != count:
        raise Refused("has a leaf that does not weigh every vector")
    for weight in weights:
        if type(weight) is not int or not 0 <= weight < 1 << MOST_BITS:
            raise Refused("has a leaf whose weights are no whole numbers of 0 or more")
    return weights


def _proved(
    question: Question,
    certificate: Certificate,
    needs: Sequence[int],
    weights: Sequence[int],
    spans: Spans,
) -> int | None:
    """Return `scale` times the bound of a leaf; None where it proves nothing at all."""
    total = sum(weight * need for weight, need in zip(weights, needs, strict=True))
    for name, (low, high) in spans.items():
        reduced = certificate.scale * question.costs[name] - sum(
            weight * row[name]
            for weight, row in zip(weights, certificate.values, strict=True)
        )
        if reduced >= 0:
            total += reduced * low
        elif high is None:
            return None
        else:
            total += reduced * high
    return total
