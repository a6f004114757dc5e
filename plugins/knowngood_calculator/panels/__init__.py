"""The calculator's page."""
