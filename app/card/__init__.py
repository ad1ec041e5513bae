"""The lehr card: the night on one page, for the wall beside the lehr."""
