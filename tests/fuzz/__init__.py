"""Harnesses that hand any bytes to whatever reads input from outside the program."""
