"""Furnaces and pots: charges and temperatures as they are logged."""
