"""Lab invoices as labs send them -> documents of lines, each with its kind and its place."""
