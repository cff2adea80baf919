"""Evidence to standing and review dates; plain values in and out."""
