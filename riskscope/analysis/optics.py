"""What the steps say of a surface that was read: its emissivity, and how far its temperature moves with what is not
sure of it; see `riskscope.physics.radiometry.Sensitivity`."""

OF_SURFACE = ("emissivity_used", "by_emissivity_k", "by_reflected_k", "by_reading")
OF_SIMILAR = tuple(f"similar {name}" for name in OF_SURFACE)
OF_REFERENCE = ("reference emissivity below 0.60", "reference emissivity below 0.30")  # flags of a similar component
