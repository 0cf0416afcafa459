"""What is raised for a measurement that cannot be used."""


class MeasurementError(Exception):
    """One line that names the file, the line where there is one, and what to do."""
