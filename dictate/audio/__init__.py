"""Sound in: sources of 16 kHz mono frames, their level, and where speech starts and ends."""
