"""A fleet's units: what is due, what leaks, and which unit drifts away from its sisters."""
