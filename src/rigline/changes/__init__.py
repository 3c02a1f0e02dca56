"""What is different between two states of a system, for whoever rebuilds it: parts, wires, findings, purchases."""
