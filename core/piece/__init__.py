"""A piece of glass: shape, sections, lag behind the lehr, and the stress a cooling rate leaves."""
