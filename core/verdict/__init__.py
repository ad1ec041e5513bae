"""The morning after: what the actual curve left in each piece, and what to do about it."""
