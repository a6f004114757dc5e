"""The steps of the schema, one file a step, importing none of our modules."""

HEAD = "0005"
"""The step that this version of the program works with."""

KNOWN = ("0001", "0002", "0003", "0004", "0005")
"""Every step this version knows; a library at another one is newer than the program."""
