"""What git knows of a configuration. Entry points: `Repository`, the sources `GitIndex` and `GitCommit`."""
