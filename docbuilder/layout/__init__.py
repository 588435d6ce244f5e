"""Blocks to tagged PDF pages; knows no medicine."""
