"""One folder per host. A host carries values in and out; it does no arithmetic."""
