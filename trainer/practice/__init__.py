"""What the program does with attempts and entries, without knowing of pages."""
