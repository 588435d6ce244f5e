"""Plan and words to document blocks, through the templates."""
