"""Number, time and message widgets shared by all pages."""
