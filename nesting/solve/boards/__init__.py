"""Boards: crosscut to rough sections, ripped to strips, resawn, crosscut to blanks."""
