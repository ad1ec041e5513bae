"""What the engine cannot know, in plain sentences for everybody who sees its numbers."""

ONE_DIMENSIONAL = (
    "Stresses are reckoned through the thickness alone, for clean walls of even thickness: rims, "
    "feet, corners, handles and cords in the glass are not in them. Tension is positive."
)
"""Shown with every stress."""

NOT_SETTLED = (
    "the glass was still so hot at the end that its stress would change further; what is shown "
    "would be left if it were cooled evenly from there."
)
"""Said of a piece whose history ends too soon."""
