"""The command line: parses, calls, prints; no rules."""
