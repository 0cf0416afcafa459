"""Parts, references, the pin map and macros. Entry function: `build_machine` (TreeReading to Machine)."""
