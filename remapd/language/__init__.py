"""From a layout file to a checked, built, immutable layout; every error with its place."""
