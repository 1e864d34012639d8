"""The terminal screen: a thin shell that shows a session and turns keys into commands."""
