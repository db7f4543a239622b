"""Pure functions on arrays: linkages, springs, stance. No documents, no files."""
