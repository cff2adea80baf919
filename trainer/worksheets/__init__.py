"""The calculation graph of a worked problem, and one file of worksheets a strand."""
