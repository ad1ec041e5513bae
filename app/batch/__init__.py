"""The page “Batch”: from a glass wanted to what is weighed out."""
