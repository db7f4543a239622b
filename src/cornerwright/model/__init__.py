"""What a car, a reading, a target and a part are: documents, units, files."""
