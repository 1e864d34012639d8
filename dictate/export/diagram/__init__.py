"""Findings placed on drawings of face, neck and mouth."""
