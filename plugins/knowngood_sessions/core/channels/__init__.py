"""Channels that are worked out of recorded ones, with their uncertainty."""
