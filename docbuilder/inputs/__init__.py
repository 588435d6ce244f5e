"""Files to the checked model, every fault with its file and line."""
