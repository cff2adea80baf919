"""What leaves the program as a file: papers to print."""
