"""The page “Tonight”."""
