"""A page on this machine alone that follows a spec as it is saved, and a place in it to try changes out."""
