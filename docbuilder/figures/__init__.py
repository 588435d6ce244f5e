"""Drawings from body coordinates: pure geometry to scenes."""
