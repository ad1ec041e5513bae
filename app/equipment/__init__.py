"""The page “Equipment”."""
