"""Catalogues, numbers, dates, review state: everything bound to one language."""
