"""The document model: typed blocks and drawings, with no look and no language."""
