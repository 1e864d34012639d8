"""Joins the parts: audio -> speech -> matching -> exam -> store, with no screen."""
