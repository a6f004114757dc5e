"""The check-up page and its dialogs."""
