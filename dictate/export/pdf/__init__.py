"""Documents to be printed, as PDF."""
