"""Units, tolerances, errors, findings and trails: what every other module stands on."""
