"""One expression, several readings: each calculation is stated once as plain arithmetic.

`tree` traces a plain function into a small tree; `numbers`, `excel` and `words` read the tree.
`operations` is the one table of what may stand in it; `model` holds the columns and blocks that
the trees are about.
"""
