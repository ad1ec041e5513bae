"""Keeping the book safe: backups, checks, copies for other programs, and a damaged book."""
