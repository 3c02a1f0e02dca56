"""What leaves the program: reports, tables and drawings, each from the same study."""
