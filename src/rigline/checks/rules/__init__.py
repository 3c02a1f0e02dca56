"""One file per rule; its name is the rule's slug."""
