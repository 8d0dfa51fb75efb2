"""Cost to fee: what plans leave of a fee, the fee that is needed, and the rules that it passes through.

Nothing here opens a file. Each module states its rules as plain functions and lays them out as blocks.
"""
