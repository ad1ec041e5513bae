"""The command line: glass, plan and compare, as tables or JSON."""
