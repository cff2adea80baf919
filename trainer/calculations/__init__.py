"""What instruments do: pure functions on numbers and numpy arrays."""
