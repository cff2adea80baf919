"""A whole signal path from sensor to analog input, with its alarm relays, run over the course of a process."""
