"""Spec data from files of any layout: read, understood, and planned before anything is stored."""
