"""The glass, heat and record-keeping of Lehrkeeper; no Qt in here."""
