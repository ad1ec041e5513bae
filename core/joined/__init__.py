"""Two glasses in one piece: what each shrinks by, the stress between them, how to match them."""
