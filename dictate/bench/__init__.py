"""Measuring the whole chain: synthetic speakers, noise, scoring against exact ground truth."""
