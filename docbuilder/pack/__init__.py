"""Documents to a pack on disk: whole or not at all."""
