"""What the engine cannot know, in plain sentences for everybody who sees its numbers."""

ONE_DIMENSIONAL = (
    "Stresses are reckoned through the thickness alone, for clean walls of even thickness: rims, "
    "feet, corners, handles and cords in the glass are not in them. Tension is positive."
)
"""Shown with every stress."""

CONSTANTS = (
    "What the engine's own constants leave open (some -6 to +20 % of what stays in soda-lime "
    "glass, more in others) is in none of the bounds."
)
"""Shown with bounds; the figures are those of :mod:`core.stress.engine`."""

NOT_SETTLED = (
    "the glass was still so hot at the end that its stress would change further; what is shown "
    "would be left if it were cooled evenly from there."
)
"""Said of a piece whose history ends too soon."""
