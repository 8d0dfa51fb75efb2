"""Tidy tables to cost per item: what an invoice line means, and the arithmetic of every cost.

Nothing here opens a file. Each module states its rules as plain functions and lays them out as blocks.
"""
