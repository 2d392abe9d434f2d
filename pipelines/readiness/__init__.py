"""Readiness for tupping: gain, projection, learning, grazing, feed. Arrays in, arrays out."""
