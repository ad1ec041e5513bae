"""The page “Glass”."""
