"""Question banks and lessons read into frozen values, with all faults told at once."""
