"""Spec values put in order, and typed entries checked."""
