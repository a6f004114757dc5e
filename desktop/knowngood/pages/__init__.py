"""The host's own pages."""
