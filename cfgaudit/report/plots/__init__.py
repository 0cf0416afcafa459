"""Pictures of measurements. Imported only where one is asked for: they need the extra ``measure``."""
