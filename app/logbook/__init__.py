"""The page “Log book”."""
