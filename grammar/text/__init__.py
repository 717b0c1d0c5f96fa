"""Sheets as plain text: reading them and writing them in canonical form."""
