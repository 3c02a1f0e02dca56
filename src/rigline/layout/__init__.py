"""Where things go on the sheet: positions and label boxes in millimetres, with no ink and no drawing library."""
