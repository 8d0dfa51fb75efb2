"""Results and blank templates -> workbooks. Knows the tables, never the reading."""
