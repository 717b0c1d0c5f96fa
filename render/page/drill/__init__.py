"""Drills as pages."""
