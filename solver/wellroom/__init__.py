"""Wheel and tire combinations for odd hubs."""
