"""How the sample plants are made: nameplates, places, faults, holes, and a list as found."""
