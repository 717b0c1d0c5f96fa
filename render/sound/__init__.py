"""From a performance to a WAV file, by plucked strings of our own or by FluidSynth."""
