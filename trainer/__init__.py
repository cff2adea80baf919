"""Training and proof of skill in signal conditioning, from the field sensor to the PLC analog input."""

__version__ = "0.1.0"
