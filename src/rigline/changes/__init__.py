"""What is different between two states of a system, for whoever has to rebuild it: parts, wires, findings, purchases."""
