"""Cost-plus crown fees for a dental practice, from its own invoices, minutes and metal prices.

The package is one pipeline: `reading` turns workbooks into tidy tables, `costing` and `pricing`
state the arithmetic, `writing` lays it out as a workbook of live formulas, `uses` are the
recipes that run from one end to the other, and `cli` is the command line over them.
"""

__version__ = "0.4.0"
