"""Says which belongs with which: clock to clock, sample to place, photo to log point."""
