"""Unicode text to positioned glyphs: bidi, line breaking, shaping, embedding."""
