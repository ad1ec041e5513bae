"""Lehrs, their controllers and thermocouples: what they can do."""
