"""The session plotter page and its dialogs."""
