"""Evidence to standing, review dates and the statistics of items; plain values in and out."""
