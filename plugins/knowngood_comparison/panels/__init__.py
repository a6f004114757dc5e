"""The comparison's page."""
