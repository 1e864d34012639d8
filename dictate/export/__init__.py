"""Turns a session into documents for people and programs."""
