"""The commands: one module each, imported only when it runs.

Only this package prints, exits or asks the system.
"""
