"""Which explanations fit a difference from the book, how well, and which measurement tells them apart."""
