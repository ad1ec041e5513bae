"""The window of Lehrkeeper: everything that knows Qt lives here; it shows and asks."""
