"""Published tables and rule sets as data, each with its source and how sure it is, and the functions that read them."""
