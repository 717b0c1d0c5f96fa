"""Playback by plucked strings of our own: from a performance to a WAV file."""
