"""The uses, each a recipe that reads from top to bottom."""
