"""Drawings on paper: what to buy, where to cut, and in which order."""

from nesting.render.document import compose, draw_pdf, draw_png, draw_scene, draw_svg
from nesting.render.page import A4, LETTER, Paper

__all__ = [
    "A4",
    "LETTER",
    "Paper",
    "compose",
    "draw_pdf",
    "draw_png",
    "draw_scene",
    "draw_svg",
]
