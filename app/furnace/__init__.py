"""The page “Pots and furnace”."""
