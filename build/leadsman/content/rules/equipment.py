"""Physics of the equipment: what is written of a transducer must be possible."""
