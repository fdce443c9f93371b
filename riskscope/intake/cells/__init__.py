"""Text cells to values, a column at a time: numbers with units, dates, times, choices.

Every function works on the distinct texts of a column where it cannot work on the column at once.
A cell that cannot be read is a fault with its words; nothing is repaired in silence.
"""
