"""Tonight's load: the pieces, the lehr, the button time and the hour they must be out."""
