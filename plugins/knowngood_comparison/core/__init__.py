"""What is compared and how: no screen, no database."""
