"""Tasks on a simulated channel: faults to find, and channels to commission."""
