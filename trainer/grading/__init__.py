"""Typed text to quantity, quantity to mark."""
