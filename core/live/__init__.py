"""Readings as they come: followed files, registers of a controller, the watch over the night."""
