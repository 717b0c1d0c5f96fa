"""From a performance to an audio file, by plucked strings of our own or by FluidSynth."""
