"""Workbooks of a practice folder -> tidy tables and a list of problems. Start at `folder.py`."""
