"""What a plot over time computes before anything is drawn: numbers in, numbers out, no Qt."""
