"""Recorded sessions: import a log, find what settled and what happened, show it over time."""
