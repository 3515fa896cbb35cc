"""The part as stated: sizes, flats, bends, holes, sheet. No geometry is developed here."""
