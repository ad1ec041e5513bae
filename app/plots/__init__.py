"""Curves by clock time, on screen and on paper."""
