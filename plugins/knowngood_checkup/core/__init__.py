"""Comparison of a session with the book of known-good readings: pure functions, SI."""
