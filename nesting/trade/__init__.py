"""The tables of the trade, each figure with the words of its source.

What a standard or a book says carries that name; what only teachers and shops say is
called teaching practice or common practice; what nobody could look up again is marked
"from memory". They are starting values: a maker's own measurement always wins.
"""
