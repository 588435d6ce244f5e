"""Pure rules: from the checked model to the computed plan; no text, no file, no page."""
