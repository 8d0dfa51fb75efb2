"""`python -m feesheet` is the command line."""

from feesheet.cli import main

main()
