"""The host: window, plugin host and shared widgets of the Knowngood desktop application."""

__version__ = "0.1.0"
