"""The page of the spec library and its dialogs."""
