"""Pages for the floor as PDF: layout only, no rule of the trade."""
